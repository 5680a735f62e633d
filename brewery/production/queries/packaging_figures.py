"""Figures of a packaging run: beer out of tanks and in packages, losses by reason, materials against count, speed."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from brewery.production.models import FilledTank, PackagingFill, PackagingRun
from brewery.production.queries.packaging_fills import fills_of, tanks_of
from brewery.science.units import MICRO
from inventory.models import Event, Location, Material, Posting

_HL_MICRO = 100 * MICRO
_HOUR = 3600


@dataclass(frozen=True)
class MaterialUse:
    """What became of one drawn material, in its micro-units."""

    material: Material
    used_micro: int
    wasted_micro: int
    returned_micro: int
    filled: int

    @property
    def per_package(self) -> float | None:
        """How much is in one package, rejects counted among them: crowns per bottle."""
        return self.used_micro / MICRO / self.filled if self.filled else None


@dataclass(frozen=True)
class RunFigures:
    """A run in figures. Volumes in microlitres."""

    began_at: datetime
    fills: tuple[PackagingFill, ...]
    tanks: tuple[FilledTank, ...]
    materials: tuple[MaterialUse, ...]

    @cached_property
    def count(self) -> int:
        """Packages filled and kept."""
        return sum(one.count for one in self.fills)

    @cached_property
    def rejects(self) -> int:
        """Packages filled and thrown out."""
        return sum(one.rejects for one in self.fills)

    @cached_property
    def out_of_tanks_micro(self) -> int:
        """The beer that left the tanks."""
        return sum(one.left_micro for one in self.tanks)

    @cached_property
    def in_packages_micro(self) -> int:
        """The beer in the packages."""
        return sum(one.count * _contents(one) for one in self.fills)

    @cached_property
    def in_rejects_micro(self) -> int:
        """The beer that was lost in rejects."""
        return sum(one.rejects * _contents(one) for one in self.fills)

    @cached_property
    def other_loss_micro(self) -> int:
        """The beer that was lost in any other way: in pipes, by foaming, in packages filled too full."""
        return self.out_of_tanks_micro - self.in_packages_micro - self.in_rejects_micro

    @cached_property
    def yield_pct(self) -> float | None:
        """The beer in packages in per cent of what left the tanks."""
        return 100 * self.in_packages_micro / self.out_of_tanks_micro if self.out_of_tanks_micro else None

    @cached_property
    def hl_per_hour(self) -> float | None:
        """Beer in packages per hour from the beginning of the first fill, or of the run, to the end of the last."""
        if not self.fills:
            return None
        began = min([one.began_at for one in self.fills if one.began_at], default=self.began_at)
        seconds = (max(one.event.happened_at for one in self.fills) - began).total_seconds()
        return self.in_packages_micro / _HL_MICRO / seconds * _HOUR if seconds > 0 else None


def figures_of_run(run: PackagingRun) -> RunFigures:
    """Return the figures of a run, by its fills that were not undone."""
    fills = tuple(fills_of(run))
    filled = sum(one.count + one.rejects for one in fills)
    return RunFigures(run.started_at, fills, tuple(tanks_of(run)), tuple(_materials(run, filled)))


def _materials(run: PackagingRun, filled: int) -> list[MaterialUse]:
    rows = Posting.objects.filter(from_location=run.location, event__reversed_by=None)
    rows = rows.exclude(event__kind=Event.Kind.REVERSE).select_related("lot__material", "to_location").order_by("pk")
    sums: dict[int, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    materials: dict[int, Material] = {}
    for row in rows:
        materials[row.lot.material_id] = row.lot.material
        sums[row.lot.material_id][_became(row.to_location)] += row.quantity_micro
    return [
        MaterialUse(material, sums[key]["used"], sums[key]["wasted"], sums[key]["returned"], filled)
        for key, material in materials.items()
    ]


def _became(place: Location) -> str:
    return {Location.Kind.TRANSFORMED.value: "used", Location.Kind.LOSS.value: "wasted"}.get(place.kind, "returned")


def _contents(fill: PackagingFill) -> int:
    return fill.lot.material.contents_micro or 0
