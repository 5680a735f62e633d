"""The postings that a figure of usage is the sum of, by time, each with the sum so far: all of them or a page."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.db.models import BigIntegerField, Case, F, Q, QuerySet, Sum, When, Window

from inventory.models import Material, Posting
from inventory.queries.lot_costs import Cost, unit_costs
from inventory.queries.turnover import way_of
from inventory.queries.usage import COLUMNS, NET, Period
from traceability.queries.duty_moments import edges
from traceability.queries.usage_moves import COLUMN_OF, moves_of, postings_in, turned
from traceability.queries.usage_report import By, work_of

ON_HAND = {"opening": "At the beginning", "closing": "At the end"}
"""What is not a column: all that came and went until then."""
NET_USE = "net"
"""What was used, less what came back: the figure that is compared and has a cost."""
FIGURES = {**ON_HAND, NET_USE: "Used, less what came back", **{name: words for name, (words, _) in COLUMNS.items()}}
"""Every figure that has postings, and its name for people."""


@dataclass(frozen=True, slots=True)
class UsagePosting:
    """A posting, what came (above zero) or went by it, and the sum of all until it, in micro-units."""

    posting: Posting
    micro: int
    so_far_micro: int


@dataclass(frozen=True)
class Figure:
    """One figure of a usage report: a column, the opening or the closing of a material or of a part of it."""

    period: Period
    material: Material
    column: str
    by: By = By.MATERIAL
    key: str = ""

    def postings(self, start: int = 0, most: int | None = None) -> list[UsagePosting]:
        """Return the postings from one on, by time; two statements."""
        so_far = Window(Sum("came"), order_by=("event__happened_at", "pk"))
        rows = self._rows.annotate(so_far=so_far).select_related(
            "event__reverses", "event__actor", "lot", "from_location", "to_location"
        )
        part = rows.order_by("event__happened_at", "pk")[start : None if most is None else start + most]
        return [UsagePosting(row, int(row.came), int(row.so_far)) for row in part]

    @cached_property
    def count(self) -> int:
        """How many postings there are."""
        return self._rows.count()

    @cached_property
    def total_micro(self) -> int:
        """What they are together: the figure itself."""
        return int(self._rows.aggregate(total=Sum("came", default=0))["total"])

    @cached_property
    def cost(self) -> Cost:
        """What they cost together; below zero what went out."""
        cost = Cost()
        by_lot = dict(self._rows.order_by().values_list("lot").annotate(sum=Sum("came")).values_list("lot", "sum"))
        for lot, unit in unit_costs(by_lot).items():
            cost.add(int(by_lot[lot]), unit)
        return cost

    @property
    def words(self) -> str:
        """The figure's name for people."""
        return FIGURES[self.column]

    @cached_property
    def _rows(self) -> "QuerySet[Any]":
        """The postings of the figure, each with what came by it: `came`."""
        rows = turned(self._moment().filter(lot__material=self.material)).filter(self._part())
        ways = {True: Q(), False: Q()}
        for way in set(rows.order_by().values_list("kind", "source", "target").distinct()):
            name, sign = way_of(*way)
            if sign and self._holds(COLUMN_OF[name]):
                ways[sign > 0] |= Q(kind=way[0], source=way[1], target=way[2])
        signed = [When(ways[True], then="moved")] if ways[True] else []
        signed += [When(ways[False], then=-F("moved"))] if ways[False] else []
        came = Case(*signed, default=0, output_field=BigIntegerField())
        found: QuerySet[Any] = (rows.filter(ways[True] | ways[False]) if signed else rows.none()).annotate(came=came)
        return found

    def _holds(self, column: str) -> bool:
        """Whether the figure sums up a column."""
        return self.column in ON_HAND or column == self.column or (self.column == NET_USE and column in NET)

    def _moment(self) -> "QuerySet[Posting]":
        start, end = edges(self.period)
        if self.column in ON_HAND:
            return Posting.objects.filter(event__happened_at__lt=start if self.column == "opening" else end)
        return postings_in(self.period)

    def _part(self) -> Q:
        if self.by is By.MATERIAL:
            return Q()
        if self.by is By.LOT:
            return Q(lot__code=self.key)
        return self._origins()

    def _origins(self) -> Q:
        """The places and events of the moves that are told under the key."""
        moves = moves_of(self.period, material=self.material)
        origins = {move.origin for move in moves if work_of(self.by, move) == self.key}
        at, made = {one.at for one in origins} - {None}, {one.made for one in origins} - {None}
        return Q(made__in=made) | Q(made=None, at__in=at)
