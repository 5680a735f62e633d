"""What duty is told by people: how places and parties stand, and what shipments were for."""

from datetime import date
from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.db.models import OuterRef, QuerySet, Subquery
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.pages.moments import MomentInput
from brewery.kernel.pages.writing import FormPage, WritingForm
from inventory.models import Event, Location, Party, Posting
from inventory.pages.stock.values import PeriodForm
from inventory.queries.usage import Period, month_of
from traceability.models import DutyPurpose, DutyStanding
from traceability.queries.duty_lines import HERE
from traceability.queries.duty_moments import edges
from traceability.services.duty import tell_purpose, tell_standing

MOST_SHOWN = 500


class StandingForm(WritingForm):
    """A place or a party, and how it stands from a moment on."""

    place = forms.ModelChoiceField(
        label="Place", queryset=Location.objects.filter(kind__in=HERE).order_by("name"), required=False
    )
    party = forms.ModelChoiceField(label="or party", queryset=Party.objects.order_by("name"), required=False)
    standing = forms.ChoiceField(label="Stands", choices=DutyStanding.Standing)
    since = forms.DateTimeField(label="Since", widget=MomentInput)


class DutyStandingsPage(FormPage):
    """Every standing that was told, the last first; the form tells another."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.KEEP_DUTY
    template_name = "traceability/duty/standings.html"
    form_class = StandingForm

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        rows = DutyStanding.objects.select_related("place", "party", "actor").order_by("-since", "-pk")
        return super().get_context_data(**kwargs, rows=rows[:MOST_SHOWN], may_write=self.may_write)

    def write(self, form: Any) -> str:
        """Tell it."""
        told = tell_standing(actor=self.person, **form.cleaned_data)
        messages.success(self.request, f"{told} is on record.")
        return reverse("duty-standings")


class PurposeForm(WritingForm):
    """What a shipment was for."""

    event = forms.ModelChoiceField(label="Shipment", queryset=Event.objects.none())
    purpose = forms.ChoiceField(label="Was", choices=DutyPurpose.Purpose)

    def __init__(self, shipments: QuerySet[Event], *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["event"] = ShipmentField(label="Shipment", queryset=shipments)


class ShipmentField(forms.ModelChoiceField):
    """A shipment by its day, its note and who got it."""

    def label_from_instance(self, obj: Any) -> str:
        return f"{brewery_day(obj.happened_at)}, {obj.reference or obj.pk}, {obj.party_name}"


class DutyPurposesPage(FormPage):
    """The shipments of some days with what they were for; the form tells it of one."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.KEEP_DUTY
    template_name = "traceability/duty/purposes.html"

    def _days(self) -> PeriodForm:
        last = month_of(brewery_day()).before
        usual = {"first": last.first.isoformat(), "last": last.last.isoformat()}
        return PeriodForm(self.request.GET if "first" in self.request.GET else usual)

    def _shipments(self) -> QuerySet[Event]:
        days = self._days()
        return shipments_of(Period(**days.cleaned_data)) if days.is_valid() else Event.objects.none()

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form with the shipments of the days."""
        return PurposeForm(self._shipments(), *data)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        labels = dict(DutyPurpose.Purpose.choices)
        rows = [(one, labels.get(getattr(one, "purpose", ""), "")) for one in self._shipments()]
        return super().get_context_data(**kwargs, filter_form=self._days(), rows=rows, may_write=self.may_write)

    def write(self, form: Any) -> str:
        """Tell it."""
        told = tell_purpose(actor=self.person, **form.cleaned_data)
        messages.success(self.request, f"Shipment {told.event_id} was {told.get_purpose_display()}.")
        day: date = brewery_day(told.event.happened_at)
        period = month_of(day)
        return f"{reverse('duty-purposes')}?first={period.first}&last={period.last}"


def shipments_of(period: Period) -> QuerySet[Event]:
    """Return the shipments of some days that count, each with its party's name and what it was last said to be for."""
    start, end = edges(period)
    last = DutyPurpose.objects.filter(event=OuterRef("pk")).order_by("-pk")
    sent = Posting.objects.filter(event=OuterRef("pk"), to_location__party__isnull=False)
    to = sent.values("to_location__party__name")[:1]
    return (
        Event.objects.filter(kind=Event.Kind.SHIP, happened_at__gte=start, happened_at__lt=end, reversed_by=None)
        .annotate(purpose=Subquery(last.values("purpose")[:1]), party_name=Subquery(to))
        .order_by("-happened_at", "-pk")
    )
