"""Valuation: what the stock of a bought material is worth, and what went out in a period, by two ways of reckoning.

First in, first out: what leaves is taken to be the oldest that came. Weighted average: what leaves costs the average of
what was there and of what came in the period; what was there at its beginning costs the average of all that had come.
Both are exact fractions of the currency. A lot without a cost is named with its quantity, and never guessed at: the
first way leaves it out, and the second has no answer. Both ways: common practice in accounting (IAS 2, 25).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction

from brewery.kernel.clock import brewery_zone
from inventory.models import Event, Location, Lot, LotCost, Material, Posting

EARLIEST, LATEST = date(1900, 1, 1), date(2999, 12, 31)
"""The days that can be asked for: beyond them is no record, and the calendar of computers ends soon after."""

MICRO_E4 = 1_000_000 * 10_000


@dataclass(frozen=True)
class Layer:
    """What came of a lot at one time, in micro-units, and what a base unit of it cost in ten-thousandths, if known."""

    lot: Lot
    came_at: datetime
    micro: int
    unit_cost_e4: int | None


@dataclass
class Worth:
    """A quantity in micro-units, what is known of its value, and the lots in it that have no cost, by their codes."""

    micro: int = 0
    value: Fraction = Fraction(0)
    without_cost: dict[str, int] = field(default_factory=dict)

    @property
    def is_known(self) -> bool:
        """Whether all of it has a cost."""
        return not self.without_cost


@dataclass(frozen=True)
class Valuation:
    """One material in one period: what was there, came, went out, and is left. The first two are the last two."""

    material: Material
    currency: str
    opening: Worth
    came: Worth
    went_out: Worth
    closing: Worth
    average_per_unit: Fraction | None

    @property
    def went_out_by_average(self) -> Fraction | None:
        """What went out is worth by the weighted average, or None where a lot has no cost or nothing was there."""
        return None if self.average_per_unit is None else self.average_per_unit * self.went_out.micro / 1_000_000

    @property
    def closing_by_average(self) -> Fraction | None:
        """What is left is worth by the weighted average, or None where a lot has no cost or nothing was there."""
        return None if self.average_per_unit is None else self.average_per_unit * self.closing.micro / 1_000_000


def valuation(material: Material, start: datetime, end: datetime) -> Valuation:
    """Return what went out from `start` up to `end`, and what was and is there; two statements."""
    costs = _costs(material)
    rows = _postings(material, end)
    layers = [
        Layer(lot, moment, micro, costs[lot.pk].unit_cost_e4 if lot.pk in costs else None)
        for lot, source, _, moment, micro in rows
        if source == Location.Kind.SUPPLIER
    ]
    here_then = _on_hand(row for row in rows if row[3] < start)
    here_now = _on_hand(rows)
    came_before = sum(layer.micro for layer in layers if layer.came_at < start)
    came = sum(layer.micro for layer in layers)
    gone_before, gone = came_before - here_then, came - here_now
    opening, bought = worth(layers, gone_before, came_before), worth(layers, came_before, came)
    return Valuation(
        material=material,
        currency=next((cost.currency for cost in costs.values()), ""),
        opening=opening,
        came=bought,
        went_out=worth(layers, gone_before, gone),
        closing=worth(layers, gone, came),
        average_per_unit=_average(worth(layers, 0, came_before), here_then, bought),
    )


def valuation_of_days(material: Material, first: date, last: date) -> Valuation:
    """Return the valuation from the beginning of the first day to the end of the last, as the brewery's clock tells."""
    start, end = (
        datetime.combine(day, time.min, tzinfo=brewery_zone()).astimezone(UTC) for day in (first, last + timedelta(1))
    )
    return valuation(material, start, end)


def money(value: Fraction) -> str:
    """Return an exact value as people write it: with two decimals, rounded half to even."""
    cents = round(value * 100)
    return f"{'-' if cents < 0 else ''}{abs(cents) // 100}.{abs(cents) % 100:02}"


def unit_cost(cost: LotCost) -> str:
    """Return what a base unit cost, exactly: with two decimals, or up to four where it has them."""
    whole, rest = divmod(cost.unit_cost_e4, 10_000)
    places = f"{rest:04}"
    return f"{whole}.{places[:2]}{places[2:].rstrip('0')}"


def worth(layers: Sequence[Layer], first: int, last: int) -> Worth:
    """Return what the micro-units from `first` up to `last` are worth, counted through the layers as they came.

    More that came back than went out is worth as much below nothing.
    What counts have found beyond all that came belongs to no layer: its lot has no cost, and it is named "found".
    """
    if last < first:
        back = worth(layers, last, first)
        return Worth(-back.micro, -back.value, {code: -micro for code, micro in back.without_cost.items()})
    result = Worth(micro=last - first)
    passed = 0
    for layer in layers:
        part = max(0, min(last, passed + layer.micro) - max(first, passed))
        passed += layer.micro
        if part and layer.unit_cost_e4 is None:
            result.without_cost[layer.lot.code] = result.without_cost.get(layer.lot.code, 0) + part
        elif part and layer.unit_cost_e4 is not None:
            result.value += Fraction(part * layer.unit_cost_e4, MICRO_E4)
    if first < 0:
        result.without_cost["found"] = min(last, 0) - first
    return result


def _average(before: Worth, here_then: int, came: Worth) -> Fraction | None:
    """Return the value of one base unit of what was there and what came, or None."""
    if not before.is_known or not came.is_known or here_then + came.micro <= 0 or (here_then and not before.micro):
        return None
    opening = before.value * here_then / before.micro if before.micro else Fraction(0)
    return (opening + came.value) * 1_000_000 / (here_then + came.micro)


Row = tuple[Lot, str, str, datetime, int]


def _postings(material: Material, end: datetime) -> list[Row]:
    stands = Posting.objects.filter(event__reversed_by=None).exclude(event__kind=Event.Kind.REVERSE)
    rows = stands.filter(lot__material=material, event__happened_at__lt=end).select_related(
        "lot", "event", "from_location", "to_location"
    )
    return [
        (row.lot, row.from_location.kind, row.to_location.kind, row.event.happened_at, row.quantity_micro)
        for row in rows.order_by("event__happened_at", "event", "pk")
    ]


def _on_hand(rows: Iterable[Row]) -> int:
    return sum(
        ((target in Location.ON_HAND) - (source in Location.ON_HAND)) * micro for _, source, target, _, micro in rows
    )


def _costs(material: Material) -> dict[int, LotCost]:
    """Return the newest cost of each lot, by its key."""
    newest: dict[int, LotCost] = {}
    for cost in LotCost.objects.filter(lot__material=material).order_by("pk"):
        newest[cost.lot_id] = cost
    return newest
