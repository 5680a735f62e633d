"""Fills of packaging runs, their undoing, the end of a run, and its figures."""

from typing import Any, ClassVar

from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField, QuantityShown, TextField
from brewery.kernel.api.views import RecordDetail
from brewery.production.api.codes import RunField
from brewery.production.api.packagings import MOST
from brewery.production.api.volumes import loss, micro_or_nothing
from brewery.production.models import PackagingRun
from brewery.production.queries.packaging_figures import MaterialUse, RunFigures, figures_of_run
from brewery.production.services.filled_tanks import TankDraw
from brewery.production.services.packaging import LONGEST_LINE, Counted, fill
from brewery.production.services.run_ends import finish_run, undo_fill
from inventory.api.codes import MaterialField, PlaceField
from inventory.api.events import LedgerRecording
from inventory.api.parts import ContentsCodeField, PartAsked, ReasonField
from inventory.models import Event


class TankAsked(serializers.Serializer[Any]):
    """One tank: gauged at start and end, or what left it; with neither it gave the rest."""

    vessel = PlaceField()
    gauge_start = loss()
    gauge_end = loss()
    left = loss()

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Return a TankDraw."""
        read = {name: attrs[name].micro if attrs.get(name) else None for name in ("gauge_start", "gauge_end", "left")}
        return TankDraw(attrs["vessel"], **{f"{name}_micro": value for name, value in read.items()})


class RunFillAsked(serializers.Serializer[Any]):
    """One fill of a run. Without a code or a best-before day the brewery's rule gives them."""

    happened_at = MomentField()
    run = RunField()
    material = MaterialField()
    tanks = TankAsked(many=True)
    count = serializers.IntegerField(min_value=1, max_value=MOST)
    rejects = serializers.IntegerField(min_value=0, max_value=MOST, required=False, default=0)
    packaged_code = ContentsCodeField()
    best_before = serializers.DateField(required=False, allow_null=True, default=None)
    line = TextField(max_length=LONGEST_LINE, required=False, allow_blank=True, default="")
    began_at = serializers.DateTimeField(required=False, allow_null=True, default=None)
    loss = loss()
    used = PartAsked(many=True, required=False, allow_null=True, default=None)
    wasted = PartAsked(many=True, required=False, default=list)
    still_to_come = serializers.IntegerField(min_value=0, max_value=MOST, required=False, default=0)
    location = PlaceField()
    on_new_pallet = serializers.BooleanField(required=False, default=False)
    gauge_reason = ReasonField()
    override_reason = ReasonField()


class Fills(LedgerRecording):
    """POST: a fill of a run is one packaged lot."""

    right: ClassVar[Right] = Right.PACKAGE
    asked = RunFillAsked

    def record(self, **asked: Any) -> Event:
        """Record it."""
        counted = Counted(
            code=asked.pop("packaged_code"),
            **{name: asked.pop(name) for name in ("count", "rejects", "best_before", "line", "began_at")},
        )
        return fill(counted=counted, loss_micro=micro_or_nothing(asked.pop("loss", None)), **asked)


class FillUndoAsked(serializers.Serializer[Any]):
    """Which run's last fill is undone, and why."""

    run = RunField()
    reason = ReasonField()


class FillUndos(LedgerRecording):
    """POST: undo the last fill of a run, while nothing of its lot went on."""

    right: ClassVar[Right] = Right.REVERSE
    asked = FillUndoAsked

    def record(self, **asked: Any) -> Event:
        """Undo it."""
        return undo_fill(**asked)


class RunFinishAsked(serializers.Serializer[Any]):
    """What of a run's materials goes back, each to the place it names; the rest is lost, for a reason."""

    happened_at = MomentField()
    run = RunField()
    returns = PartAsked(many=True, required=False, default=list)
    loss_reason = ReasonField()


class RunFinishes(LedgerRecording):
    """POST: end a run."""

    right: ClassVar[Right] = Right.PACKAGE
    asked = RunFinishAsked

    def record(self, **asked: Any) -> Event:
        """End it."""
        return finish_run(**asked)


class MaterialUseAnswer(serializers.Serializer[MaterialUse]):
    """What became of one drawn material."""

    material = serializers.CharField(source="material.code")
    used = QuantityShown("used_micro", "material.base_unit")
    wasted = QuantityShown("wasted_micro", "material.base_unit")
    returned = QuantityShown("returned_micro", "material.base_unit")
    per_package = serializers.FloatField(allow_null=True)


class FiguresAnswer(serializers.Serializer[RunFigures]):
    """A run in figures; volumes in whole microlitres."""

    count = serializers.IntegerField()
    rejects = serializers.IntegerField()
    out_of_tanks_micro = serializers.IntegerField()
    in_packages_micro = serializers.IntegerField()
    in_rejects_micro = serializers.IntegerField()
    other_loss_micro = serializers.IntegerField()
    yield_pct = serializers.FloatField(allow_null=True)
    hl_per_hour = serializers.FloatField(allow_null=True)
    materials = MaterialUseAnswer(many=True)


class FiguresOfRun(RecordDetail):
    """GET: beer out of tanks and in packages, losses by reason, materials against count, speed."""

    queryset = PackagingRun.objects.select_related("location")
    serializer_class = FiguresAnswer
    lookup_field = "code"
    thing: ClassVar[str] = "packaging run"

    def get_object(self) -> RunFigures:
        """Return the figures of the run. Raises NotFound."""
        return figures_of_run(super().get_object())
