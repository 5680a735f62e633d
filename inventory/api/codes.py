"""Fields that name materials, parties, places, lots and events."""

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from brewery.kernel.api.fields import CodeField
from inventory.models import Event, Lot, Party
from inventory.queries.pallets import pallet_of
from inventory.queries.registers import event_of, lot_ever_of, lot_of, material_of, party_of, place_of


class MaterialField(CodeField):
    """A material by its code."""

    def __init__(self, **options: Any) -> None:
        super().__init__(thing="material", find=material_of, **options)


class PlaceField(CodeField):
    """A location by its code."""

    def __init__(self, **options: Any) -> None:
        super().__init__(thing="location", find=place_of, **options)


class PalletField(CodeField):
    """A pallet by its SSCC."""

    def __init__(self, **options: Any) -> None:
        super().__init__(thing="pallet", find=pallet_of, **options)


class PartyField(CodeField):
    """A supplier or a customer by its code."""

    default_error_messages = {"other_role": "This is a {role}; give a {wanted}."}

    def __init__(self, *, role: Party.Role, **options: Any) -> None:
        super().__init__(thing=role.value, find=party_of, **options)
        self.role = role

    def run_validation(self, data: Any = serializers.empty) -> Any:
        """Return the party. Raises ValidationError where it is none, or of the other role."""
        party = super().run_validation(data)
        if isinstance(party, Party) and party.role != self.role:
            self.fail("other_role", role=party.role, wanted=self.role.value)
        return party


class LotField(CodeField):
    """A lot by its code. A request that is repeated may name one that was made by mistake, as it did the first time."""

    def __init__(self, **options: Any) -> None:
        super().__init__(thing="lot", find=self._find, **options)

    def _find(self, code: str) -> Lot | None:
        return lot_ever_of(code) if self.context.get("repeated") else lot_of(code)


@extend_schema_field({"type": "integer", "minimum": 1})
class EventField(serializers.IntegerField):
    """An event by its number."""

    default_error_messages = {"unknown_event": "There is no event of this number: look it up in the list."}

    def to_internal_value(self, data: Any) -> Event:  # type: ignore[override]
        """Return the event. Raises ValidationError where there is none."""
        if not isinstance(data, int) or isinstance(data, bool):
            self.fail("invalid")
        event = event_of(data)
        if event is None:
            self.fail("unknown_event")
        return event
