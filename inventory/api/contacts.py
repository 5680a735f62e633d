"""Contacts of parties, for recalls above all, and how long beer must still keep for a customer."""

from typing import Any, ClassVar

import django_filters
from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import CodeField, TextField
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import Recording, RecordList
from inventory.api.codes import MaterialField, PartyField
from inventory.api.parts import ReasonField
from inventory.models import MinimumLife, Party, PartyContact
from inventory.queries.customers import current_contacts
from inventory.queries.registers import party_of
from inventory.services.customers import LONGEST_LIFE_DAYS, ask_minimum_life, end_contact, tell_contact


class ContactAnswer(serializers.ModelSerializer[PartyContact]):
    """One person at a party, as told on a day; `is_ended` rows say that nobody took over."""

    party = serializers.CharField(source="party.code")
    told_by = serializers.CharField(source="actor.username")

    class Meta:
        model = PartyContact
        fields = (
            "id",
            "party",
            "name",
            "role",
            "phone",
            "email",
            "is_reachable_at_night",
            "note",
            "is_ended",
            "replaces",
            "told_at",
            "told_by",
        )


@extend_schema_field({"type": "integer", "minimum": 1})
class ContactField(serializers.PrimaryKeyRelatedField[PartyContact]):
    """A contact by its number."""

    default_error_messages = {"does_not_exist": "There is no contact of this number: look it up in the list."}

    def __init__(self, **options: Any) -> None:
        super().__init__(pk_field=serializers.IntegerField(min_value=1, max_value=2**63 - 1), **options)

    def get_queryset(self) -> QuerySet[PartyContact]:
        """Return all contacts."""
        return PartyContact.objects.select_related("party")


class ContactAsked(serializers.Serializer[Any]):
    """A person to ring or to write to, in the place of the contact that is named, where one is."""

    party = CodeField(thing="party", find=party_of)
    name = TextField(max_length=120)
    role = TextField(max_length=80, required=False, allow_blank=True, default="")
    phone = TextField(max_length=40, required=False, allow_blank=True, default="")
    email = serializers.EmailField(max_length=120, required=False, allow_blank=True, default="")
    is_reachable_at_night = serializers.BooleanField(required=False, default=False)
    note = TextField(max_length=200, required=False, allow_blank=True, default="")
    replaces = ContactField(required=False, allow_null=True, default=None)


class ContactFilters(django_filters.FilterSet):
    """Narrows the list of contacts. Those that are `is_current` were not replaced or ended."""

    party = CodeFilter(field_name="party__code")
    is_current = django_filters.BooleanFilter(method="that_are_current")

    class Meta:
        model = PartyContact
        fields: tuple[str, ...] = ()

    def that_are_current(self, rows: QuerySet[PartyContact], name: str, wanted: bool) -> QuerySet[PartyContact]:
        """Return the current contacts, or the others."""
        current = current_contacts().values("pk")
        return rows.filter(pk__in=current) if wanted else rows.exclude(pk__in=current)


class Contacts(RecordList, Recording[PartyContact]):
    """Contacts of parties, the last told first; POST tells one."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.KEEP_CUSTOMERS}
    queryset = PartyContact.objects.select_related("party", "actor")
    serializer_class = answered = ContactAnswer
    asked = ContactAsked
    filterset_class = ContactFilters

    def record(self, **asked: Any) -> PartyContact:
        """Tell it."""
        return tell_contact(**asked)


class ContactEndAsked(serializers.Serializer[Any]):
    """Which contact ends, and why."""

    contact = ContactField()
    reason = ReasonField()


class ContactEndings(Recording[PartyContact]):
    """POST: somebody is no contact any more, and nobody takes over."""

    right: ClassVar[Right] = Right.KEEP_CUSTOMERS
    asked = ContactEndAsked
    answered = ContactAnswer

    def record(self, **asked: Any) -> PartyContact:
        """End it."""
        return end_contact(**asked)


class MinimumLifeAnswer(serializers.ModelSerializer[MinimumLife]):
    """How many days beer must still keep for a customer; no days take back what was asked before."""

    customer = serializers.CharField(source="party.code")
    material = serializers.CharField(source="material.code", allow_null=True, default=None)
    days = serializers.IntegerField(min_value=0, max_value=LONGEST_LIFE_DAYS, allow_null=True)
    told_by = serializers.CharField(source="actor.username")

    class Meta:
        model = MinimumLife
        fields = ("id", "customer", "material", "days", "told_at", "told_by")


class MinimumLifeAsked(serializers.Serializer[Any]):
    """How many days, for one packaged material or for all that the customer buys."""

    customer = PartyField(role=Party.Role.CUSTOMER, source="party")
    material = MaterialField(required=False, allow_null=True, default=None)
    days = serializers.IntegerField(min_value=0, max_value=LONGEST_LIFE_DAYS, allow_null=True)


class MinimumLifeFilters(django_filters.FilterSet):
    """Narrows the list."""

    customer = CodeFilter(field_name="party__code")

    class Meta:
        model = MinimumLife
        fields: tuple[str, ...] = ()


class MinimumLives(RecordList, Recording[MinimumLife]):
    """What customers ask of what still keeps, the last told first; the last word of its kind counts. POST tells one."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.KEEP_CUSTOMERS}
    queryset = MinimumLife.objects.select_related("party", "material", "actor")
    serializer_class = answered = MinimumLifeAnswer
    asked = MinimumLifeAsked
    filterset_class = MinimumLifeFilters

    def record(self, **asked: Any) -> MinimumLife:
        """Tell it."""
        return ask_minimum_life(**asked)
