"""Pitching a tank: one or several yeasts, each with how much of it, proposed by their counts and the wort's gravity."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any, ClassVar

from django import forms

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day, now
from brewery.kernel.templatetags.shell import quantity
from brewery.production.pages.cellar.cautions import GAS
from brewery.production.pages.cellar.fields import amount_field, part_typed, stock_field
from brewery.production.pages.cellar.work import CODE_LENGTH, Held, WorkForm, WorkPage
from brewery.production.queries.pitch_proposals import Proposal, need_of, proposals, told_of
from brewery.production.services.fitness import refuse_unfit
from brewery.production.services.pitches import pitch
from brewery.production.services.tanks import highest_generation
from brewery.science.units import format_micro
from inventory.models import Balance, Material
from inventory.services.lot_codes import free_codes

YEASTS = (1, 2, 3)


class PitchForm(WorkForm):
    """Up to three yeasts, how much of each, and the beer that the wort becomes."""

    names: ClassVar[Mapping[str, str]] = {
        "vessel": "",
        "lines": "yeast_1",
        "lot": "yeast_1",
        "location": "yeast_1",
        "yeasts": "yeast_1",
        "quantity": "quantity_1",
        "code": "contents_code",
    }

    beer = forms.ModelChoiceField(
        Material.objects.filter(kind=Material.Kind.BEER).order_by("name"),
        label="Becomes",
        to_field_name="code",
        empty_label="choose a beer",
    )
    contents_code = forms.CharField(label="Code of the beer", max_length=CODE_LENGTH)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        offered = [(offer, _words(offer)) for offer in proposals(need_of(self.held.vessel, now()), now())]
        rows = Balance.objects.filter(lot__in=[offer.state.lot for offer, _ in offered])
        by_place = {(row.lot_id, row.location_id): row for row in rows}
        for number in YEASTS:
            yeast = stock_field(Material.Kind.YEAST, label=f"Yeast {number}", required=number == 1)
            yeast.offer_words(
                (by_place[offer.state.lot.pk, offer.state.location.pk], words) for offer, words in offered
            )
            self.fields[f"yeast_{number}"] = yeast
            self.fields[f"quantity_{number}"] = amount_field("How much of it", required=number == 1)
        rows_taken = [
            (by_place[offer.state.lot.pk, offer.state.location.pk], offer) for offer, _ in offered if offer.take_micro
        ]
        for number, (row, offer) in zip(YEASTS, rows_taken, strict=False):
            unit = offer.state.lot.material.base_unit
            self.initial[f"yeast_{number}"] = str(row.pk)
            self.initial[f"quantity_{number}"] = f"{format_micro(offer.take_micro or 0, unit)} {unit}"
        yeasts = [name for number in YEASTS for name in (f"yeast_{number}", f"quantity_{number}")]
        self.order_fields([*yeasts, "beer", "contents_code", "override_reason", "happened_at"])

    def clean(self) -> dict[str, Any]:
        """Return what was typed with the `yeasts`. Adds what is wrong beside its field."""
        read = super().clean()
        typed = (part_typed(self, f"yeast_{number}", f"quantity_{number}") for number in YEASTS)
        read["yeasts"] = [part for part in typed if part]
        return read


class PitchPage(WorkPage):
    """Pitches the wort in the tank."""

    right = write_right = Right.CELLAR
    form_class = PitchForm
    title, submit, done = "Pitch yeast", "Pitch it", "pitched"
    cautions = (GAS,)

    def proposals(self, held: Held) -> dict[str, Any]:
        """Propose the brew's beer, and a code for it."""
        beer = need_of(held.vessel, now()).beer if held.lot else None
        return {
            "beer": beer.code if beer else None,
            "contents_code": next(free_codes(Material.Kind.BEER, brewery_day())),
        }

    def told(self, form: Any) -> list[str]:
        """Tell what the wort wants, what the yeasts bring, and the generation of the beer. Raises what is refused."""
        asked, held = form.cleaned_data, form.held
        moment: datetime = asked["happened_at"]
        if not held.lot:
            return []
        if not asked.get("override_reason"):
            refuse_unfit(asked["yeasts"], moment)
        generation = highest_generation(held.lot, *(part.lot for part in asked["yeasts"]))
        told = told_of(need_of(held.vessel, moment), asked["yeasts"], moment)
        if generation:
            told.append(f"The beer is then of generation {generation}, the highest of what goes in.")
        return told

    def do(self, held: Held, form: Any, facts: dict[str, Any]) -> None:
        """Pitch it."""
        asked = form.cleaned_data
        pitch(
            vessel=held.vessel,
            beer=asked["beer"],
            contents_code=asked["contents_code"],
            yeasts=asked["yeasts"],
            **facts,
        )


def _words(offer: Proposal) -> str:
    state, unit = offer.state, offer.state.lot.material.base_unit
    alive = "never counted" if state.viability_pct is None else f"{state.viability_pct:.3g} % alive"
    fit = "" if state.is_fit and not state.is_infected else f" – {state.next_step}"
    return (
        f"{state.lot.material.name}, {state.lot.code} in {state.location.name}: {quantity(offer.held_micro, unit)}, "
        f"generation {state.lot.generation or '–'}, {alive}{fit}"
    )
