"""Returns: what came back and waits, a new one, and one return with all that became of it."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms
from django.http import Http404
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.moments import HappenedForm
from brewery.kernel.pages.writing import FormPage, WritingForm, WritingPage
from brewery.production.models import CustomerReturn
from brewery.production.pages.dispatch.orders import CountField
from brewery.production.pages.dispatch.steps import Step
from brewery.production.queries.returned import ReturnedLine, lines_of, returns_in_full
from brewery.production.services.dispatch import take_back
from brewery.production.services.return_outcomes import destroy_returned, restock_returned, rework_returned
from brewery.production.services.tanks import BREWED
from brewery.science.typed import typed_micro
from brewery.science.units import MICRO, UnitError
from inventory.models import Material
from inventory.pages.choices import CustomerField, TankChoiceField, offers
from inventory.pages.scanned import LotField, StoreField
from inventory.services.stock import Part


class ReturnForm(HappenedForm):
    """What came back, from whom, and where it lies now."""

    names: ClassVar[Mapping[str, str]] = {"quantity": "count", "lines": ""}

    customer = CustomerField(label="Customer")
    lot = LotField(label="Lot: scan its label, or type its code")
    count = CountField(label="How many")
    location = StoreField(label="Put into", help_text="Best a place of its own, until somebody decides.")
    cause = forms.ChoiceField(label="Why", choices=CustomerReturn.Cause.choices)
    reason = forms.CharField(label="What the customer says", max_length=200)


class ReturnsPage(FormPage):
    """What came back, the last first, and the form that takes more back."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.DISPATCH
    template_name = "production/dispatch/returns.html"
    form_class = ReturnForm

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        rows = [
            {"back": back, "line": line, "customer": back.event.postings.all()[0].from_location.name}
            for back in returns_in_full()
            for line in lines_of(back)
        ]
        return super().get_context_data(
            rows=sorted(rows, key=lambda row: not row["line"].undecided),
            may_write=self.may_write,
            offers=offers("customers", "stores"),
            **kwargs,
        )

    def write(self, form: Any) -> str:
        """Take it back."""
        asked = dict(form.cleaned_data)
        part = Part(asked.pop("lot"), asked.pop("location"), asked.pop("count") * MICRO)
        event = take_back(parts=[part], actor=self.person, **asked)
        return reverse("customer-return", args=[CustomerReturn.objects.get(event=event).pk])


class OutcomeForm(HappenedForm):
    """So many of one line of a return, and why."""

    line = forms.ChoiceField(label="Which")
    count = CountField(label="How many")
    reason = forms.CharField(label="Why", max_length=200)

    def __init__(self, lines: list[ReturnedLine], *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.lines = {f"{line.lot.pk}-{line.location.pk}": line for line in lines if line.undecided}
        choice = self.fields["line"]
        choice.choices = [  # type: ignore[attr-defined]
            (key, f"{line.undecided} of {line.lot.code}, {line.lot.material.name}, in {line.location.name}")
            for key, line in self.lines.items()
        ]

    def clean(self) -> dict[str, Any]:
        """Return what was typed with the lot and where it lies."""
        read = super().clean()
        line = self.lines.get(read.pop("line", ""))
        if line:
            read |= {"customer_return": line.customer_return, "lot": line.lot, "location": line.location}
        return read


class RestockForm(OutcomeForm):
    """What goes back in stock."""

    to_location = StoreField(label="Into the store")


class BeerForm(OutcomeForm):
    """So many, and the beer that is in them."""

    names: ClassVar[Mapping[str, str]] = {"quantity": "beer"}

    beer = forms.CharField(
        label="Beer in them, measured",
        max_length=60,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        help_text="All together, in litres or with a unit.",
    )

    def clean(self) -> dict[str, Any]:
        """Return what was typed with `beer_micro`. Adds what is wrong beside its field."""
        read = super().clean()
        text = read.pop("beer", "")
        if text:
            try:
                read["beer_micro"] = typed_micro(text, "L")
            except UnitError as wrong:
                self.add_error("beer", str(wrong))
        return read


class DestroyForm(BeerForm):
    """What is destroyed; of part-empty ones the beer that was in them is measured first."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["beer"].required = False


class ReworkForm(BeerForm):
    """What is tipped back into a tank."""

    vessel = TankChoiceField(label="Into the tank")
    contents_code = forms.CharField(label="Lot code of the new contents", max_length=20)
    material = forms.ModelChoiceField(
        label="Beer, where the tank is empty", required=False, queryset=Material.objects.filter(kind__in=BREWED)
    )
    override_reason = forms.CharField(label="Why a lot that is not released is used", required=False, max_length=200)


class ReturnShown(WritingPage, is_a_kind_of_page=True):
    """One return: what came back, and what became of it."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.DISPATCH
    template_name = "production/dispatch/return.html"

    @property
    def back(self) -> CustomerReturn:
        """The return that the address names. Raises Http404."""
        found = returns_in_full().filter(pk=self.kwargs["back"]).first()
        if found is None:
            raise Http404("There is no such return, or it was reversed.")
        return found

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        back = self.back
        lines = lines_of(back)
        waits = any(line.undecided for line in lines)
        context = {
            "customer": back.event.postings.all()[0].from_location,
            "lines": lines,
            "may_restock": waits and self.person.has_right(Right.DISPATCH),
            "may_destroy": waits and self.person.has_right(Right.DESTROY),
            "may_rework": waits and self.person.has_right(Right.CELLAR),
            "restock_form": RestockForm(lines, auto_id="restock-%s"),
            "destroy_form": DestroyForm(lines, auto_id="destroy-%s"),
            "rework_form": ReworkForm(lines, auto_id="rework-%s"),
            "offers": offers("stores"),
            **kwargs,
            "back": back,
        }
        return super().get_context_data(**context)


class ReturnPage(ReturnShown):
    """One return, to be looked at."""

    http_method_names = ("get", "head")


class ReturnRestock(ReturnShown, Step):
    """Puts some of it back in stock."""

    name = "restock_form"

    def sent_form(self) -> WritingForm:
        """Return what was typed."""
        return RestockForm(lines_of(self.back), self.request.POST, auto_id="restock-%s")

    def write(self, form: Any) -> str:
        """Put it back in stock."""
        restock_returned(actor=self.person, **form.cleaned_data)
        return reverse("customer-return", args=[self.kwargs["back"]])


class ReturnDestruction(ReturnShown, Step):
    """Destroys some of it."""

    write_right: ClassVar[Right] = Right.DESTROY
    name = "destroy_form"

    def sent_form(self) -> WritingForm:
        """Return what was typed."""
        return DestroyForm(lines_of(self.back), self.request.POST, auto_id="destroy-%s")

    def write(self, form: Any) -> str:
        """Destroy it."""
        destroy_returned(actor=self.person, **form.cleaned_data)
        return reverse("customer-return", args=[self.kwargs["back"]])


class ReturnRework(ReturnShown, Step):
    """Tips some of it back into a tank."""

    write_right: ClassVar[Right] = Right.CELLAR
    name = "rework_form"

    def sent_form(self) -> WritingForm:
        """Return what was typed."""
        return ReworkForm(lines_of(self.back), self.request.POST, auto_id="rework-%s")

    def write(self, form: Any) -> str:
        """Tip it back."""
        rework_returned(actor=self.person, **form.cleaned_data)
        return reverse("customer-return", args=[self.kwargs["back"]])
