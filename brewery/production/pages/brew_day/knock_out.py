"""The knock-out: all that was drawn for a brew goes as wort into one tank or several, in one form."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.pages.facts import Fact
from brewery.kernel.pages.moments import HappenedForm
from brewery.kernel.pages.writing import FormPage, WritingForm, go_on
from brewery.kernel.templatetags.shell import quantity
from brewery.production.models import Brew, LogEntry
from brewery.production.pages.brew_day.forms import KEYPAD
from brewery.production.pages.cellar.fields import unclean_field
from brewery.production.queries.brew_log import cold_micro, figure_of, in_words, readings_of
from brewery.production.queries.knocked_out import Tank, tanks, usual_wort_of
from brewery.production.queries.work import brews_with_contents
from brewery.production.services.knock_outs import knock_out
from brewery.production.services.tanks import Fill
from brewery.science.contraction import WORT_CONTRACTION_PCT
from brewery.science.typed import typed_micro
from brewery.science.units import MICRO, UnitError, format_micro
from inventory.models import Material
from inventory.services.lot_codes import free_codes

CODE_LENGTH = 20


class KnockOutForm(HappenedForm):
    """The wort lot, so much of it for each tank, and what was lost; a tank that holds something gets a new code."""

    names: ClassVar[Mapping[str, str]] = {
        "lines": "",
        "vessel": "",
        "contents_code": "",
        "quantity": "",
        "code": "wort_code",
    }

    wort_material = forms.ModelChoiceField(label="Wort", queryset=Material.objects.filter(kind=Material.Kind.WORT))
    wort_code = forms.CharField(label="Code of the wort lot", max_length=CODE_LENGTH)
    is_hot = forms.BooleanField(
        label="The volumes are read hot",
        required=False,
        help_text=f"Boiling wort shrinks by {WORT_CONTRACTION_PCT:g} % on cooling: that much less is booked.",
    )
    loss = forms.CharField(
        label="Lost, as cold wort",
        required=False,
        max_length=60,
        widget=forms.TextInput(attrs=KEYPAD),
        help_text="In litres: trub, hops, what the pipes keep.",
    )
    override_reason = forms.CharField(
        label="Override, because", required=False, max_length=200, help_text="For a lot that is refused."
    )

    unclean_reason = unclean_field()

    def __init__(self, *args: Any, into: Sequence[Tank], may_override: bool = False, **options: Any) -> None:
        super().__init__(*args, **options)
        self.into = into
        if not may_override:
            del self.fields["override_reason"]
        for tank in into:
            self._add(tank)

    def _add(self, tank: Tank) -> None:
        key, place = tank.vessel.pk, tank.vessel.name
        self.fields[f"volume-{key}"] = forms.CharField(
            label="Litres", required=False, max_length=60, widget=forms.TextInput(attrs=KEYPAD)
        )
        # A form that is sent again finds its tank filled by the first sending; so every tank may bring a code.
        self.fields[f"contents-{key}"] = forms.CharField(
            label="Code of the new contents",
            required=False,
            max_length=CODE_LENGTH,
            help_text=f"Wort and what {place} holds, or held and is not cleaned of, make a new lot.",
        )

    def head(self) -> Iterator[forms.BoundField]:
        """Yield the fields that are of no tank."""
        of_tanks = {f"{name}-{tank.vessel.pk}" for tank in self.into for name in ("volume", "contents")}
        return (field for field in self if field.name not in of_tanks)

    def rows(self) -> Iterator[dict[str, Any]]:
        """Yield each tank with its fields; those of an empty, clean tank ask for no new contents."""
        for tank in self.into:
            key = tank.vessel.pk
            code = self[f"contents-{key}"] if tank.held or tank.residue or self.data.get(f"contents-{key}") else None
            is_meant = bool(self[f"volume-{key}"].value())
            yield {"tank": tank, "volume": self[f"volume-{key}"], "code": code, "is_meant": is_meant}

    def clean(self) -> dict[str, Any]:
        """Return what was typed with `fills` and `loss_micro`, as cold wort. Adds what is wrong beside its field."""
        read = super().clean()
        read["loss_micro"] = self._micro("loss", read.get("loss", ""))
        read["fills"] = []
        for tank in self.into:
            key = tank.vessel.pk
            typed = read.pop(f"volume-{key}", "")
            code = read.pop(f"contents-{key}", "")
            if typed:
                volume = self._micro(f"volume-{key}", typed)
                read["fills"].append(Fill(tank.vessel, cold_micro(volume) if read.get("is_hot") else volume, code))
        return read

    def _micro(self, name: str, typed: str) -> int:
        try:
            return typed_micro(typed, "L") if typed else 0
        except UnitError as wrong:
            self.add_error(name, str(wrong))
            return 0


class KnockOutPage(FormPage):
    """The form that knocks a brew out."""

    right: ClassVar[Right] = Right.BREW
    write_right: ClassVar[Right] = Right.BREW
    template_name = "production/brew_day/knock_out.html"

    @property
    def brew(self) -> Brew:
        """The brew that the address names. Raises Http404."""
        code = self.kwargs["code"]
        found = None if "\x00" in code else brews_with_contents().filter(code=code).first()
        if found is None:
            raise Http404(f"There is no brew {code}.")
        return found

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Show the form; a brew that is knocked out already shows its day."""
        if vars(self.brew)["finished_by_id"]:
            return go_on(reverse("brew-day", args=[self.brew.code]))
        return super().get(request, *args, **kwargs)

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form; an empty one proposes codes, and the volume of the log."""
        into, may_override = tanks(), self.person.has_right(Right.OVERRIDE)
        if data:
            return KnockOutForm(*data, into=into, may_override=may_override)
        into = [tank for tank in into if tank.room_micro != 0]
        return KnockOutForm(initial=proposals(self.brew, into), into=into, may_override=may_override)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        brew = self.brew
        return super().get_context_data(brew=brew, facts=facts_of(brew), **kwargs)

    def write(self, form: Any) -> str:
        """Knock it out, and go on to the brew day, which tells what became of it."""
        asked = form.cleaned_data
        knock_out(
            brew=self.brew,
            wort_material=asked["wort_material"],
            wort_code=asked["wort_code"],
            fills=asked["fills"],
            loss_micro=asked["loss_micro"],
            happened_at=asked["happened_at"],
            override_reason=asked.get("override_reason", ""),
            unclean_reason=asked["unclean_reason"],
            actor=self.person,
            request_id=asked["request_id"],
        )
        booked = quantity(sum(fill.quantity_micro for fill in asked["fills"]), "L")
        shrunk = f", {WORT_CONTRACTION_PCT:g} % less than was read hot" if asked["is_hot"] else ""
        messages.success(self.request, f"Knocked out: {booked} of cold wort in the tanks{shrunk}.")
        return reverse("brew-day", args=[self.brew.code])


def facts_of(brew: Brew) -> list[Fact]:
    """Return what lies in the brew, and what its log says of volumes: hot, and cold by contraction."""
    lying = [
        f"{quantity(one.quantity_micro, one.lot.material.base_unit)} {one.lot.material.name}"
        for one in brew.location.balances.all()
    ]
    facts = [Fact("Beer", brew.beer.name), Fact("Drawn for it", ", ".join(lying))]
    if brew.cold_wort_micro:
        facts.append(Fact("Cold wort to come", quantity(brew.cold_wort_micro, "L")))
    readings = readings_of(brew)
    for step in (LogEntry.Step.CAST_OUT, LogEntry.Step.KNOCK_OUT):
        entry = readings.get((step, LogEntry.Property.VOLUME))
        if entry:
            cold = quantity(round(figure_of(entry) * MICRO), "L")
            told = f"{in_words(entry)}; cold {cold} at {WORT_CONTRACTION_PCT:g} %" if entry.is_hot else in_words(entry)
            facts.append(Fact(f"Log: {step.label}", told))
    return facts


def proposals(brew: Brew, into: Sequence[Tank]) -> dict[str, Any]:
    """Return what an empty form proposes: codes, and the knock-out volume of the log for the tank that was planned."""
    codes = {kind: free_codes(kind, brewery_day()) for kind in (Material.Kind.WORT, Material.Kind.BEER)}
    found: dict[str, Any] = {"wort_code": next(codes[Material.Kind.WORT]), "wort_material": usual_wort_of(brew)}
    for tank in into:
        if tank.held and tank.held.material.kind in codes:
            found[f"contents-{tank.vessel.pk}"] = next(codes[Material.Kind(tank.held.material.kind)])
    read = readings_of(brew).get((LogEntry.Step.KNOCK_OUT, LogEntry.Property.VOLUME))
    plan = getattr(brew, "plan", None)
    if read and plan and plan.vessel_id:
        found[f"volume-{plan.vessel_id}"] = format_micro(round(figure_of(read) * MICRO), "L")
    return found
