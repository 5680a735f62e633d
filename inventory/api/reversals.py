"""Reversals: a mistake is put right by an event that names it."""

from typing import Any, ClassVar

from rest_framework import serializers

from brewery.kernel.access import Right
from inventory.api.codes import EventField
from inventory.api.events import LedgerRecording
from inventory.api.parts import ReasonField
from inventory.models import Event
from inventory.services.reversals import reverse_event


class ReversalAsked(serializers.Serializer[Any]):
    """The event that never happened like that, and how it was found out."""

    event = EventField()
    reason = ReasonField()


class Reversals(LedgerRecording):
    """POST: reverse an event on which nothing later depends."""

    right: ClassVar[Right] = Right.REVERSE
    asked = ReversalAsked

    def record(self, **asked: Any) -> Event:
        """Reverse it."""
        return reverse_event(**asked)
