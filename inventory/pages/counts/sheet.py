"""One count: counted line by line with a keyboard or a scanner, looked over, and booked."""

from typing import Any, ClassVar

from django import forms
from django.http import Http404
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.facts import Fact
from brewery.kernel.pages.writing import FormPage, WritingForm, WritingPage
from brewery.kernel.templatetags.shell import moment_text
from inventory.models import CountSheet, Location, Lot
from inventory.pages.choices import CountedPlaceField, offers
from inventory.pages.lot_choices import LotField, LotQuantityForm
from inventory.queries.count_sheets import differences_of, sheets_with_lines
from inventory.queries.registers import lot_of, place_of


class EntryForm(LotQuantityForm, WritingForm):
    """How much was found of a lot. Without a quantity it asks for it, so that a scanner's Enter does no harm."""

    names = {"counted_micro": "quantity", "location": "place", "counted_at": "quantity"}

    lot = LotField(label="Lot: scan or type its code")
    place = CountedPlaceField(label="Where it lies")
    quantity = forms.CharField(label="How much is there", required=False, max_length=60)

    def __init__(self, sheet: CountSheet, *data: Any, **options: Any) -> None:
        super().__init__(*data, **options)
        if sheet.location_id:
            del self.fields["place"]

    def put_in_hand(self, lot: Lot, place: Location | None) -> None:
        """Show the lot, and ask for its quantity next."""
        self.initial.update(lot=lot, place=place)
        self.fields["quantity"].required = True
        self.fields["quantity"].label = f"How much of {lot.material.name} is there"
        self.fields["quantity"].help_text = f"In {lot.material.base_unit}, or with another unit; 0 for nothing."

    def ask_first_for(self, name: str) -> None:
        """The cursor is in that field when the page is shown."""
        if name in self.fields:
            self.fields[name].widget.attrs["autofocus"] = True


class FindForm(WritingForm):
    """Something that no lot on record explains."""

    place = CountedPlaceField(label="Where it lies")
    marking = forms.CharField(label="What stands on it", max_length=60)
    words = forms.CharField(label="What and how much it is", max_length=200)

    names = {"location": "place"}

    def __init__(self, sheet: CountSheet, *data: Any, **options: Any) -> None:
        super().__init__(*data, **options)
        if sheet.location_id:
            del self.fields["place"]


class StepForm(WritingForm):
    """A step that needs no words."""

    def __init__(self, sheet: CountSheet, *data: Any, **options: Any) -> None:
        super().__init__(*data, **options)


class BookingForm(StepForm):
    """Why the count differs from the book."""

    reason = forms.CharField(label="Why it differs from the book", max_length=200)


FORMS: dict[str, type[Any]] = {
    "entry": EntryForm,
    "find": FindForm,
    "handing_in": StepForm,
    "booking": BookingForm,
    "recounting": StepForm,
    "discarding": StepForm,
}


SHOWN = {
    CountSheet.State.COUNTING: ("entry", "find", "handing_in", "discarding"),
    CountSheet.State.SUBMITTED: ("booking", "recounting", "discarding"),
}
"""The forms that a count's page has, by its state."""


class CountView(WritingPage, is_a_kind_of_page=True):
    """What every page of a count shows: its lines, and the forms of what can be done next."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.COUNT_STOCK
    template_name = "inventory/counts/sheet.html"

    @property
    def sheet(self) -> CountSheet:
        """The count that the address names. Raises Http404."""
        found = sheets_with_lines().filter(pk=self.kwargs["count"]).first()
        if found is None:
            raise Http404(f"There is no count {self.kwargs['count']}.")
        return found

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        sheet = self.sheet
        lines = list(sheet.lines.all())
        sent = kwargs.pop("forms", {})
        forms_shown = {name: sent.get(name) or form(sheet, auto_id=f"{name}-%s") for name, form in FORMS.items()}
        if "entry" not in sent:
            self._put_in_hand(forms_shown["entry"])
        return super().get_context_data(
            **kwargs,
            sheet=sheet,
            facts=facts_of(sheet),
            lines=lines,
            waiting=sum(line.counted_at is None for line in lines),
            differences=[] if sheet.is_blind else differences_of(lines),
            forms=forms_shown,
            may_write=self.may_write,
            offers=offers("counted-places"),
        )

    def _put_in_hand(self, form: EntryForm) -> None:
        """A line that is chosen has its lot in the form; the cursor is where something is to be typed next."""
        lot = lot_of(self.request.GET.get("lot", "").replace("\x00", ""))
        if lot:
            form.put_in_hand(lot, place_of(self.request.GET.get("place", "").replace("\x00", "")))
        form.ask_first_for("quantity" if lot else "lot")


class CountPage(CountView):
    """One count."""

    http_method_names = ("get", "head")


class CountStep(CountView, FormPage, is_a_kind_of_page=True):
    """One thing that is done with a count, and back to its page; or the page with what is wrong."""

    http_method_names = ("post",)
    name: ClassVar[str]

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form with what was sent."""
        form: WritingForm = FORMS[self.name](self.sheet, *data, auto_id=f"{self.name}-%s")
        return form

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        form = kwargs["form"]
        context = super().get_context_data(**{**kwargs, "forms": {self.name: form}})
        has_form = self.name in SHOWN.get(context["sheet"].state, ())
        return {**context, "refused": [] if has_form or not form.is_bound else form.non_field_errors()}

    def back(self) -> str:
        """Return the address of the count."""
        return reverse("count", args=[self.kwargs["count"]])


def facts_of(sheet: CountSheet) -> list[Fact]:
    """Return what is known of a count, label by label."""
    facts = [
        Fact("State", sheet.get_state_display()),
        Fact("Opened", f"{moment_text(sheet.opened_at)}, {sheet.opened_by.get_full_name() or sheet.opened_by}"),
    ]
    if sheet.counted_at:
        facts.append(Fact("Handed in", moment_text(sheet.counted_at)))
    if sheet.approved_at and sheet.approved_by:
        by = sheet.approved_by.get_full_name() or sheet.approved_by
        facts.append(Fact("Booked", f"{moment_text(sheet.approved_at)}, {by}"))
    return facts
