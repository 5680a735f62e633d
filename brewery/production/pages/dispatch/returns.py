"""Returns: what came back and waits, a new one, and one return with all that became of it."""

from collections.abc import Iterable, Mapping
from typing import Any, ClassVar

from django import forms
from django.core.paginator import Paginator
from django.forms import formset_factory
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.errors import DomainError
from brewery.kernel.pages.moments import HappenedForm
from brewery.kernel.pages.writing import FormShown, WritingForm, WritingPage, go_on
from brewery.production.models import CustomerReturn, ReturnOutcome
from brewery.production.pages.dispatch.orders import CountField
from brewery.production.pages.dispatch.steps import Step
from brewery.production.queries.returned import ReturnedLine, lines_of, returns_in_full
from brewery.production.services.dispatch import take_back
from brewery.production.services.return_outcomes import destroy_returned, restock_returned, rework_returned
from brewery.production.services.tanks import BREWED
from brewery.science.typed import typed_micro
from brewery.science.units import MICRO, UnitError
from inventory.models import Event, Material
from inventory.pages.choices import CustomerField, TankChoiceField, offers
from inventory.pages.scanned import LotField, StoreField
from inventory.services.reversals import reverse_event
from inventory.services.stock import Part

LINES, MOST_LINES = 3, 30
ON_A_PAGE = 50


class BackForm(forms.Form):
    """So many of one lot, and where they lie now; a line without a lot is left out."""

    lot = LotField(label="Lot: scan its label, or type its code", required=False)
    count = CountField(label="How many", required=False)
    location = StoreField(
        label="Put into", required=False, help_text="Best a place of its own, until somebody decides."
    )

    def clean(self) -> dict[str, Any]:
        """Return what was typed. Adds what is missing beside its field."""
        read = super().clean() or {}
        if any(read.values()):
            for name in self.fields:
                if not read.get(name) and name not in self.errors:
                    self.add_error(name, "The line needs this, or leave all of it empty.")
        return read


BackForms = formset_factory(BackForm, extra=LINES, max_num=MOST_LINES, absolute_max=MOST_LINES)


class ReturnForm(HappenedForm):
    """What came back in one go: from whom, and why."""

    names: ClassVar[Mapping[str, str]] = {"quantity": "", "lines": "", "lot": "", "location": ""}

    customer = CustomerField(label="Customer")
    cause = forms.ChoiceField(label="Why", choices=CustomerReturn.Cause.choices)
    reason = forms.CharField(label="What the customer says", max_length=200)


class ReturnsPage(FormShown):
    """What waits for a decision, all that came back, the last first, and the form that takes more back."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.DISPATCH
    template_name = "production/dispatch/returns.html"
    form_class = ReturnForm

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        kwargs.setdefault("lines", BackForms(prefix="lines"))
        backs = returns_in_full()
        page = Paginator(backs, ON_A_PAGE).get_page(self.request.GET.get("page"))
        waiting = _rows_of(backs) if page.number == 1 else []
        return super().get_context_data(
            waiting=[row for row in waiting if row["line"].undecided],
            rows=_rows_of(page.object_list),
            previous_url=f"?page={page.previous_page_number()}" if page.has_previous() else None,
            next_url=f"?page={page.next_page_number()}" if page.has_next() else None,
            may_write=self.may_write,
            offers=offers("customers", "stores"),
            **kwargs,
        )

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Take it back, or show the form again with what is wrong."""
        form, lines = ReturnForm(request.POST), BackForms(request.POST, prefix="lines")
        if form.is_valid() & lines.is_valid():
            told = [one.cleaned_data for one in lines if one.cleaned_data.get("lot")]
            parts = [Part(line["lot"], line["location"], line["count"] * MICRO) for line in told]
            try:
                event = take_back(parts=parts, actor=self.person, **form.cleaned_data)
                return go_on(reverse("customer-return", args=[CustomerReturn.objects.get(event=event).pk]))
            except DomainError as refused:
                form.refuse(refused)
        return self.render_to_response(self.get_context_data(form=form, lines=lines), status=400)


def _rows_of(backs: Iterable[CustomerReturn]) -> list[dict[str, Any]]:
    return [
        {"back": back, "line": line, "customer": back.event.postings.all()[0].from_location.name}
        for back in backs
        for line in lines_of(back)
    ]


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


class UndoOutcomeForm(WritingForm):
    """Which decision on a return never happened, and why."""

    names: ClassVar[Mapping[str, str]] = {"quantity": "", "lot": ""}

    event = forms.ModelChoiceField(label="Which", queryset=Event.objects.none())
    reason = forms.CharField(label="Why it is taken back", max_length=200)

    def __init__(self, back: CustomerReturn, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        told = {outcome.event_id: outcome for outcome in back.outcomes.all()}
        choice = self.fields["event"]
        choice.queryset = Event.objects.filter(pk__in=told)  # type: ignore[attr-defined]
        choice.label_from_instance = lambda event: _words_of(told[event.pk])  # type: ignore[attr-defined]


def _words_of(outcome: ReturnOutcome) -> str:
    return f"{outcome.count} of {outcome.lot.code}, {outcome.get_kind_display()}"


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
            "may_undo": self.person.has_right(Right.REVERSE) and bool(back.outcomes.all()),
            "undo_form": UndoOutcomeForm(back, auto_id="undo-%s"),
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


class ReturnUndo(ReturnShown, Step):
    """Takes a decision back that never happened; what it was about waits for one again."""

    write_right: ClassVar[Right] = Right.REVERSE
    name = "undo_form"

    def sent_form(self) -> WritingForm:
        """Return which one, and why."""
        return UndoOutcomeForm(self.back, self.request.POST, auto_id="undo-%s")

    def write(self, form: Any) -> str:
        """Reverse it."""
        reverse_event(actor=self.person, **form.cleaned_data)
        return reverse("customer-return", args=[self.kwargs["back"]])
