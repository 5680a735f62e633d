"""One step of a propagation: a slope, a pack or the step before grows in wort into a lot that is pitched."""

from collections.abc import Mapping, Sequence
from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day, now
from brewery.kernel.templatetags.shell import quantity
from brewery.production.pages.cellar.cautions import GAS
from brewery.production.pages.cellar.fields import amount_field, part_typed, stock_field, stock_words, unclean_field
from brewery.production.pages.cellar.work import CODE_LENGTH
from brewery.production.pages.cellar.yeast_places import UNCLEAN_HELP, YeastPlaceField
from brewery.production.pages.telling import ToldForm, ToldPage
from brewery.production.queries.yeast_states import states_of
from brewery.production.services.fitness import refuse_unfit
from brewery.production.services.propagations import MEDIUM, propagate_yeast
from brewery.science.generations import FIRST
from brewery.science.typed import typed_micro
from brewery.science.units import UnitError
from inventory.models import Balance, Location, Material
from inventory.services.lot_codes import free_codes
from inventory.services.stock import Part

LINES = (1, 2, 3)


class PropagationForm(ToldForm):
    """What of the mother went into what, and how much yeast came of it. No amount is known before it is measured."""

    names: ClassVar[Mapping[str, str]] = {
        "lot": "mother",
        "code": "yeast_code",
        "lines": "medium_1",
        "medium": "medium_1",
        "yeast_micro": "quantity",
    }

    mother = stock_field(Material.Kind.YEAST, label="Slope, pack or step before")
    mother_quantity = amount_field("How much of it went in")
    quantity = amount_field("How much yeast came of it")
    location = YeastPlaceField(label="Into")
    yeast_code = forms.CharField(label="Code of the new yeast", max_length=CODE_LENGTH)
    unclean_reason = unclean_field()

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        fields: Any = self.fields
        fields["mother"].offer_words((row, _mother_words(row)) for row in fields["mother"].rows() if _may_begin(row))
        fields["location"].offer()
        fields["unclean_reason"].help_text = UNCLEAN_HELP
        for number in LINES:
            medium = stock_field(
                *MEDIUM, places=Location.ON_HAND, label=f"Wort or other medium {number}", required=number == 1
            )
            medium.offer()
            fields[f"medium_{number}"] = medium
            fields[f"amount_{number}"] = amount_field("How much of it", required=number == 1)
        mediums = [name for number in LINES for name in (f"medium_{number}", f"amount_{number}")]
        self.order_fields(["mother", "mother_quantity", *mediums, "quantity", "location", "yeast_code"])

    @property
    def has_mothers(self) -> bool:
        """Whether any yeast in stock may begin a propagation."""
        mother: Any = self.fields["mother"]
        return len(mother.choices) > 1

    def clean(self) -> dict[str, Any]:
        """Return what was typed with the `part` of the mother, the `parts` of the medium and `yeast_micro`."""
        read = super().clean()
        typed = (part_typed(self, f"medium_{number}", f"amount_{number}") for number in LINES)
        read["part"], read["parts"] = part_typed(self, "mother", "mother_quantity"), [part for part in typed if part]
        if read.get("quantity") and read.get("mother"):
            try:
                read["yeast_micro"] = typed_micro(read["quantity"], read["mother"].lot.material.base_unit)
            except UnitError as wrong:
                self.add_error("quantity", str(wrong))
        return read


class PropagationPage(ToldPage):
    """Records one step; the address may name the mother that is proposed."""

    right = write_right = Right.CELLAR
    form_class = PropagationForm
    template_name = "production/yeast/work.html"

    def new_form(self, *data: Any) -> PropagationForm:
        """Return the form; a new one proposes a code, and the mother that was come from, and no amounts."""
        proposed = {"yeast_code": next(free_codes(Material.Kind.YEAST, brewery_day())), "mother": self._asked_for()}
        return PropagationForm(*data[:1], initial={} if data else proposed, person=self.person)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        form = kwargs.setdefault("form", self.new_form())
        is_ready = form.is_bound or form.has_mothers
        return super().get_context_data(
            **{"told": (), **kwargs},
            missing="" if is_ready else "No slope, pack or step before is in stock: receive one first.",
            title="Propagate yeast",
            submit="Write the step down",
            cautions=(GAS,),
            back_url=reverse("yeast"),
            back_words="Back to all yeast",
            preface="Each step is written down once its yeast is there and measured.",
        )

    def told(self, form: Any) -> list[str]:
        """Tell what is used up, what stays of it, and the generation of the new yeast. Raises what is refused."""
        asked = form.cleaned_data
        parts = [asked["part"], *asked["parts"]]
        if not asked.get("override_reason"):
            refuse_unfit(parts, asked["happened_at"])
        return [
            *_infected(asked["part"]),
            *_rests(parts),
            f"Lot {asked['yeast_code']} is then of generation {FIRST}: pitched first, it is the first.",
            "Count it, and have it looked at for what does not belong in it, before it is pitched.",
        ]

    def write(self, form: Any) -> str:
        """Record the step, say so, and go on to the new yeast."""
        asked = form.cleaned_data
        event = propagate_yeast(
            mother=asked["part"],
            medium=asked["parts"],
            yeast_code=asked["yeast_code"],
            yeast_micro=asked["yeast_micro"],
            location=asked["location"],
            unclean_reason=asked["unclean_reason"],
            actor=self.person,
            **form.service_facts(),
        )
        yeast = event.made_lots.get()
        messages.success(self.request, f"Lot {yeast.code} is grown of lot {asked['part'].lot.code}.")
        return reverse("culture", args=[yeast.pk])

    def _asked_for(self) -> str | None:
        """Return where most of the lot lies that the address names."""
        lot = self.request.GET.get("mother", "")
        held = Balance.objects.filter(lot__code=lot, quantity_micro__gt=0, location__kind__in=Location.STOCK)
        row = None if "\x00" in lot else held.order_by("-quantity_micro").first()
        return str(row.pk) if row else None


def _may_begin(row: Balance) -> bool:
    return row.quantity_micro > 0 and (row.lot.generation or FIRST) <= FIRST


def _mother_words(row: Balance) -> str:
    return f"{stock_words(row)}, generation {row.lot.generation or '–'}"


def _infected(mother: Part) -> list[str]:
    (state,) = states_of([(mother.lot, mother.location)], now())
    return [f"Lot {mother.lot.code}: {state.next_step}"] if state.is_infected else []


def _rests(parts: Sequence[Part]) -> list[str]:
    """Return for each part what of it stays where it lies; what is asked beyond is for the service to refuse."""
    rows = Balance.objects.filter(lot__in=[part.lot for part in parts])
    held = {(row.lot_id, row.location_id): row.quantity_micro for row in rows}
    told = []
    for part in parts:
        unit, rest = part.lot.material.base_unit, held.get((part.lot.pk, part.location.pk), 0) - part.quantity_micro
        if rest >= 0:
            stay = f"{quantity(rest, unit)} stay" if rest else "none stays"
            told.append(
                f"{quantity(part.quantity_micro, unit)} of lot {part.lot.code} are used up; {stay} in "
                f"{part.location.name}."
            )
    return told
