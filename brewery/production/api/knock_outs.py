"""Knock-outs: all that was drawn for a brew becomes wort."""

from typing import Any, ClassVar

from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField
from brewery.production.api.codes import BrewField
from brewery.production.api.volumes import VolumeAsked, loss, micro_or_nothing
from brewery.production.services.knock_outs import knock_out
from brewery.production.services.tanks import Fill
from inventory.api.codes import MaterialField, PlaceField
from inventory.api.events import LedgerRecording
from inventory.api.parts import ContentsCodeField, NewCodeField, ReasonField
from inventory.models import Event


class FillAsked(VolumeAsked):
    """Cold wort that goes into one tank; `contents_code` where the tank holds something already."""

    vessel = PlaceField()
    contents_code = ContentsCodeField()

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Return a Fill."""
        return Fill(**super().validate(attrs))


class KnockOutAsked(serializers.Serializer[Any]):
    """The wort of a brew, tank by tank, and what was lost; together they are the wort lot."""

    happened_at = MomentField()
    brew = BrewField()
    wort_material = MaterialField()
    wort_code = NewCodeField()
    fills = FillAsked(many=True)
    loss = loss()
    override_reason = ReasonField()
    unclean_reason = ReasonField()


class KnockOuts(LedgerRecording):
    """POST: knock out a brew. A tank that held something is blended in an event of its own under the same request."""

    right: ClassVar[Right] = Right.BREW
    asked = KnockOutAsked

    def record(self, **asked: Any) -> Event:
        """Knock it out."""
        return knock_out(loss_micro=micro_or_nothing(asked.pop("loss", None)), **asked)
