"""Harvests: yeast is taken from a tank for the next brews."""

from typing import Any, ClassVar

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField, QuantityPair, refuse_other_unit
from brewery.production.api.volumes import volume
from brewery.production.services.harvests import harvest_yeast
from brewery.science.units import BaseUnit
from inventory.api.codes import PlaceField
from inventory.api.events import LedgerRecording
from inventory.api.parts import NewCodeField, ReasonField
from inventory.models import Event


class HarvestAsked(QuantityPair):
    """The yeast, by mass, and the volume of beer that left the tank with it."""

    happened_at = MomentField()
    vessel = PlaceField()
    beer = volume()
    yeast_code = NewCodeField()
    location = PlaceField()
    unclean_reason = ReasonField()
    override_reason = ReasonField()

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return what the service wants. Raises ValidationError where the yeast is not given by mass."""
        read = super().validate(attrs)
        yeast, beer = read.pop("amount"), read.pop("beer")
        refuse_other_unit(yeast, BaseUnit.KG)
        return {**read, "yeast_micro": yeast.micro, "beer_micro": beer.micro}


class Harvests(LedgerRecording):
    """POST: harvest the yeast of a tank, one generation older than what was pitched."""

    right: ClassVar[Right] = Right.CELLAR
    asked = HarvestAsked

    def record(self, **asked: Any) -> Event:
        """Harvest it."""
        return harvest_yeast(**asked)
