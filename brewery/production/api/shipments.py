"""Shipments: packaged beer goes out to customers."""

from typing import Any, ClassVar

from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField, TextField
from brewery.production.services.dispatch import ship, ship_pallet
from inventory.api.codes import PalletField, PartyField
from inventory.api.events import LedgerRecording
from inventory.api.parts import PartAsked, ReasonField
from inventory.models import Event, Party


class ShipmentAsked(serializers.Serializer[Any]):
    """What goes to a customer, with the number of its delivery note."""

    happened_at = MomentField()
    customer = PartyField(role=Party.Role.CUSTOMER)
    note_number = TextField(max_length=60)
    lines = PartAsked(many=True, source="parts")
    override_reason = ReasonField()
    short_life_reason = TextField(max_length=200, required=False, allow_blank=True, default="")


class Shipments(LedgerRecording):
    """POST: ship packaged beer, all lines or none."""

    right: ClassVar[Right] = Right.DISPATCH
    asked = ShipmentAsked

    def record(self, **asked: Any) -> Event:
        """Ship it."""
        return ship(**asked)


class PalletShipmentAsked(serializers.Serializer[Any]):
    """Which pallet goes to a customer, with the number of its delivery note."""

    happened_at = MomentField()
    customer = PartyField(role=Party.Role.CUSTOMER)
    note_number = TextField(max_length=60)
    pallet = PalletField(source="unit")
    override_reason = ReasonField()
    short_life_reason = TextField(max_length=200, required=False, allow_blank=True, default="")


class PalletShipments(LedgerRecording):
    """POST: ship all that is on a pallet."""

    right: ClassVar[Right] = Right.DISPATCH
    asked = PalletShipmentAsked

    def record(self, **asked: Any) -> Event:
        """Ship it."""
        return ship_pallet(**asked)
