"""Propagations: yeast grows in wort, step by step, until there is enough to pitch."""

from typing import Any, ClassVar

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField, QuantityPair, refuse_other_unit
from brewery.production.services.propagations import propagate_yeast
from inventory.api.codes import PlaceField
from inventory.api.events import LedgerRecording
from inventory.api.parts import NewCodeField, PartAsked, ReasonField
from inventory.models import Event


class PropagationAsked(QuantityPair):
    """The mother, what she grew in, and the yeast that came of it."""

    happened_at = MomentField()
    mother = PartAsked()
    medium = PartAsked(many=True)
    yeast_code = NewCodeField()
    location = PlaceField()
    unclean_reason = ReasonField()
    override_reason = ReasonField()

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return what the service wants. Raises ValidationError where the yeast is told in another unit than hers."""
        read = super().validate(attrs)
        grown = read.pop("amount")
        refuse_other_unit(grown, read["mother"].lot.material.base_unit)
        return {**read, "yeast_micro": grown.micro}


class Propagations(LedgerRecording):
    """POST: one step of a propagation."""

    right: ClassVar[Right] = Right.CELLAR
    asked = PropagationAsked

    def record(self, **asked: Any) -> Event:
        """Record it."""
        return propagate_yeast(**asked)
