"""What is done with a lot in stock: it is moved, reserved, sampled or destroyed; each has a form of its own."""

from abc import abstractmethod
from collections.abc import Sequence
from datetime import datetime
from typing import Any, ClassVar, cast
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import Http404
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day, now
from brewery.kernel.models import Request, User
from brewery.kernel.pages.access import Page
from brewery.kernel.pages.days import DayInput
from brewery.kernel.pages.writing import FormPage, WritingForm
from brewery.science.units import format_micro
from inventory.models import Location, Lot, Reservation
from inventory.pages.choices import StockPlaceField, offers
from inventory.pages.lot_choices import LotQuantityForm
from inventory.queries.reservations import kept_now
from inventory.queries.stock import stock_of_lots
from inventory.services.disposals import destroy, take_sample
from inventory.services.moves import move_stock
from inventory.services.reservations import let_go, reserve

ACTIONS = (
    ("Move", "stock-move", Right.MOVE_STOCK),
    ("Reserve", "stock-reserve", Right.MOVE_STOCK),
    ("Take a sample", "stock-sample", Right.SAMPLE),
    ("Destroy", "stock-destroy", Right.DESTROY),
    ("Its cost", "stock-cost", Right.KEEP_COSTS),
)


class HandlingForm(LotQuantityForm, WritingForm):
    """A quantity of one lot, and when it happened, where that is not just now."""

    names = {"quantity_micro": "quantity", "happened_at": "at"}
    takes_from: ClassVar[tuple[str, ...]] = Location.STOCK

    quantity = forms.CharField(label="How much", max_length=60)
    at = forms.DateTimeField(
        label="When, if not just now",
        required=False,
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
    )

    def __init__(self, lot: Lot, *data: Any) -> None:
        super().__init__(*data)
        self.lot_of_form = lot
        unit = lot.material.base_unit
        self.fields["quantity"].help_text = f"In {unit}, or with another unit."
        if "location" in self.fields:
            self._offer_places(lot)

    def _offer_places(self, lot: Lot) -> None:
        """Where it once lay counts too, so that a form that is sent again finds its place."""
        held = lot.balances.filter(location__kind__in=self.takes_from).select_related("location")
        places = [balance.location for balance in held.order_by("-quantity_micro", "location__code")]
        offer(self.fields["location"], places)

    def moment(self) -> datetime:
        """Return when it happened. A form that is sent again means the moment of its first sending."""
        asked: datetime | None = self.cleaned_data["at"]
        return asked or first_moment_of(self.cleaned_data["request_id"]) or now()


def first_moment_of(request_id: UUID) -> datetime | None:
    """Return when what was asked under this id happened, or None where nothing was."""
    told = Request.objects.filter(pk=request_id).values_list("content", flat=True).first()
    moment = (told or {}).get("happened_at")
    return datetime.fromisoformat(moment) if moment else None


def place_choice(label: str) -> forms.TypedChoiceField:
    """Return a choice among places; the form says which."""
    return forms.TypedChoiceField(label=label, empty_value=None)


def offer(field: Any, places: Sequence[Location]) -> None:
    """The field offers these places, the first of them to begin with."""
    by_code = {place.code: place for place in places}
    field.choices = [(place.code, place.name) for place in places]
    field.coerce = by_code.__getitem__
    field.initial = next(iter(by_code), None)


class MoveForm(HandlingForm):
    """Where a quantity of the lot goes."""

    names = {**HandlingForm.names, "from_location": "location", "to_location": "to"}

    location = place_choice("From")
    to = StockPlaceField(label="To")
    contents_code = forms.CharField(
        label="Code of the mixed contents",
        required=False,
        max_length=20,
        help_text="Only for a mixed silo that is not empty.",
    )
    reason = forms.CharField(label="Why", required=False, max_length=200)

    field_order = ("location", "to", "quantity", "contents_code", "at", "reason")


class ReserveForm(HandlingForm):
    """What a quantity of the lot is kept for."""

    at = None  # type: ignore[assignment] # Django's way to leave a field of the parent out
    purpose = forms.CharField(
        label="For", max_length=60, help_text="The code of a brew, a run, a tank or a customer; or any words."
    )
    until = forms.DateField(label="Through", required=False, widget=DayInput)

    field_order = ("quantity", "purpose", "until")


class SampleForm(HandlingForm):
    """What the laboratory gets."""

    takes_from = Location.ON_HAND

    location = place_choice("From")
    laboratory = place_choice("To")
    reason = forms.CharField(label="What for", required=False, max_length=200)

    field_order = ("location", "laboratory", "quantity", "at", "reason")

    def __init__(self, lot: Lot, *data: Any) -> None:
        super().__init__(lot, *data)
        offer(self.fields["laboratory"], list(Location.objects.filter(kind=Location.Kind.LABORATORY)))


class DestroyForm(HandlingForm):
    """What is destroyed, and why."""

    takes_from = Location.INSIDE

    location = place_choice("From")
    reason = forms.CharField(label="Why it is destroyed", max_length=200)

    field_order = ("location", "quantity", "at", "reason")


def lot_at(key: int) -> Lot:
    """Return the lot of that key. Raises Http404."""
    found = Lot.objects.select_related("material", "supplier").filter(pk=key).first()
    if found is None:
        raise Http404(f"There is no lot {key}.")
    return found


class LotStockPage(Page):
    """One lot in stock: where it lies, what is kept of it, and what can be done with it."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "inventory/stock/lot.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        lot, today = lot_at(self.kwargs["lot"]), brewery_day()
        (stock,) = stock_of_lots([lot], today)
        has = cast(User, self.request.user).has_right
        return super().get_context_data(
            **{**kwargs, "lot": lot},
            stock=stock,
            kept=[{"kept": one, "form": WritingForm(auto_id="")} for one in kept_now(today, [lot])],
            actions=[
                {"label": label, "href": reverse(name, args=[lot.pk])} for label, name, right in ACTIONS if has(right)
            ],
            may_let_go=has(Right.MOVE_STOCK),
        )


class HandlingPage(FormPage, is_a_kind_of_page=True):
    """The form of one thing that is done with a lot."""

    template_name = "inventory/stock/handling.html"
    form_class: ClassVar[type[HandlingForm]]
    title: ClassVar[str]
    done: ClassVar[str]

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form; a new one proposes all that lies in one place."""
        return self.form_class(lot_at(self.kwargs["lot"]), *data)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        lot = lot_at(self.kwargs["lot"])
        (stock,) = stock_of_lots([lot], brewery_day())
        context = {**kwargs, "lot": lot, "stock": stock, "title": self.title, "offers": offers("places")}
        return super().get_context_data(**context)

    def write(self, form: Any) -> str:
        """Do it, say so, and go on to the lot's stock."""
        lot, asked = form.lot_of_form, form.cleaned_data
        self.handle(lot, form)
        unit = lot.material.base_unit
        messages.success(self.request, f"{format_micro(asked['quantity_micro'], unit)} {unit} of {lot}: {self.done}.")
        return reverse("stock-lot", args=[lot.pk])

    @abstractmethod
    def handle(self, lot: Lot, form: Any) -> None:
        """Call the service. Raises DomainError."""


class MovePage(HandlingPage):
    """Moves a quantity of a lot."""

    right = write_right = Right.MOVE_STOCK
    form_class = MoveForm
    title, done = "Move", "moved"

    def handle(self, lot: Lot, form: Any) -> None:
        """Move it."""
        asked = form.cleaned_data
        move_stock(
            lot=lot,
            from_location=asked["location"],
            to_location=asked["to"],
            quantity_micro=asked["quantity_micro"],
            happened_at=form.moment(),
            reason=asked["reason"],
            contents_code=asked["contents_code"],
            actor=self.person,
            request_id=asked["request_id"],
        )


class ReservePage(HandlingPage):
    """Keeps a quantity of a lot for something."""

    right = write_right = Right.MOVE_STOCK
    form_class = ReserveForm
    title, done = "Reserve", "reserved"

    def handle(self, lot: Lot, form: Any) -> None:
        """Keep it."""
        asked = form.cleaned_data
        reserve(
            lot=lot,
            quantity_micro=asked["quantity_micro"],
            purpose=asked["purpose"],
            until=asked["until"],
            actor=self.person,
            request_id=asked["request_id"],
        )


class SamplePage(HandlingPage):
    """Takes a sample of a lot to the laboratory."""

    right = write_right = Right.SAMPLE
    form_class = SampleForm
    title, done = "Take a sample of", "taken as a sample"

    def handle(self, lot: Lot, form: Any) -> None:
        """Take it."""
        asked = form.cleaned_data
        take_sample(
            lot=lot,
            location=asked["location"],
            laboratory=asked["laboratory"],
            quantity_micro=asked["quantity_micro"],
            happened_at=form.moment(),
            reason=asked["reason"],
            actor=self.person,
            request_id=asked["request_id"],
        )


class DestroyPage(HandlingPage):
    """Destroys a quantity of a lot."""

    right = write_right = Right.DESTROY
    form_class = DestroyForm
    title, done = "Destroy", "destroyed"

    def handle(self, lot: Lot, form: Any) -> None:
        """Destroy it."""
        asked = form.cleaned_data
        destroy(
            lot=lot,
            location=asked["location"],
            quantity_micro=asked["quantity_micro"],
            reason=asked["reason"],
            happened_at=form.moment(),
            actor=self.person,
            request_id=asked["request_id"],
        )


class LettingGo(FormPage):
    """Lets a reservation go, and goes back to its lot."""

    right = write_right = Right.MOVE_STOCK
    http_method_names = ("post",)
    template_name = "inventory/stock/letting_go.html"
    form_class = WritingForm

    @property
    def reservation(self) -> Reservation:
        """The reservation that the address names. Raises Http404."""
        found = Reservation.objects.select_related("lot__material").filter(pk=self.kwargs["reservation"]).first()
        if found is None:
            raise Http404(f"There is no reservation {self.kwargs['reservation']}.")
        return found

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(**{**kwargs, "reservation": self.reservation})

    def write(self, form: Any) -> str:
        """Let it go."""
        kept = self.reservation
        let_go(reservation=kept, actor=self.person, request_id=form.cleaned_data["request_id"])
        messages.success(self.request, f"What was kept of {kept.lot} for {kept.purpose} is free again.")
        return reverse("stock-lot", args=[kept.lot_id])
