"""Parties: suppliers and customers."""

from typing import Any, ClassVar

import django_filters
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import TextField
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import RecordDetail, Recording, RecordList
from inventory.models import Party
from inventory.services.registers import add_party

LONGEST_CODE = 30
"""The party's location in the ledger bears its code behind its role, and has 40 characters for both."""


class PartyAnswer(serializers.ModelSerializer[Party]):
    """One supplier or customer."""

    class Meta:
        model = Party
        fields = ("code", "name", "role")


class PartyAsked(serializers.Serializer[Any]):
    """A new supplier or customer."""

    code = TextField(max_length=LONGEST_CODE)
    name = TextField(max_length=120)
    role = serializers.ChoiceField(choices=Party.Role.choices)


class PartyFilters(django_filters.FilterSet):
    """Narrows the list of parties."""

    role = django_filters.ChoiceFilter(choices=Party.Role.choices)
    code_contains = CodeFilter(field_name="code", lookup_expr="icontains")

    class Meta:
        model = Party
        fields: tuple[str, ...] = ()


class Parties(RecordList, Recording[Party]):
    """The register of suppliers and customers; POST enters one more."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.KEEP_REGISTERS}
    queryset = Party.objects.all()
    serializer_class = answered = PartyAnswer
    asked = PartyAsked
    filterset_class = PartyFilters
    ordering: ClassVar[str] = "code"

    def record(self, **asked: Any) -> Party:
        """Enter the party."""
        return add_party(**asked)


class OneParty(RecordDetail):
    """One supplier or customer by its code."""

    queryset = Party.objects.all()
    serializer_class = PartyAnswer
    lookup_field = "code"
    thing: ClassVar[str] = "party"
