"""The duty record: what beer was in bond, came, left and was lost in a period, from the postings alone."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Context, Decimal
from functools import partial
from typing import Any

from django.db import connection

from brewery.kernel.database.asking import rows_of
from brewery.science.units import MICRO
from inventory.models import Event, Lot, Material, Posting
from inventory.queries.measured_strengths import MeasuredStrength, measured_alcohols
from inventory.queries.usage import Period
from traceability.models import DutyClosing
from traceability.queries.duty_bonded import closing_to_count_from, lots_of, newest_event
from traceability.queries.duty_lines import LINES, lines_of
from traceability.queries.duty_moments import ALWAYS, BEGINNING, begins, edges
from traceability.queries.duty_text import LATE_POSTINGS, POSTINGS, SUMS, sums_between

NOT_MEASURED = "not measured"
_WIDE = Context(prec=60)


@dataclass(frozen=True, slots=True)
class BeerKind:
    """What one row of the record is of: a product, its strength as measured, and the litres of one package (or bulk).

    `contents_micro` is 0 for beer in tanks; `container` is what packages are told to be, or nothing.
    """

    product: str
    name: str
    strength: str
    contents_micro: int
    container: str = ""


@dataclass
class DutyRow:
    """One kind of beer in a period, in 10⁻¹² L; above zero what bond gained, below what it lost.

    A millionth of a package is a whole number of these, so that part of a package is exact too.

    `late` is what happened before the period and was recorded after `opened_by`, by line.
    """

    beer: BeerKind
    opening_pico: int = 0
    late: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    lines: dict[str, int] = field(default_factory=lambda: defaultdict(int))

    @property
    def closing_pico(self) -> int:
        """What all of it leaves in bond at the end."""
        return self.opening_pico + sum(self.late.values()) + sum(self.lines.values())

    @property
    def is_empty(self) -> bool:
        """Whether there was nothing and nothing happened."""
        return not (self.opening_pico or any(self.late.values()) or any(self.lines.values()))


@dataclass(frozen=True, slots=True)
class Moved:
    """One posting on one line: what bond gained by it in millionths of the lot's unit, below zero what it lost."""

    event: Event
    lot: Lot
    line: str
    micro: int


def duty_record(period: Period, opened_by: datetime = ALWAYS, known_by: datetime = ALWAYS) -> list[DutyRow]:
    """Return the rows of the period by product, container and strength; some statements, however many lots there are.

    `opened_by` sets apart what happened before the period and was recorded later than that; `known_by` leaves out
    what was recorded later.
    """
    base, sums = _sums(period, opened_by, known_by, closing_to_count_from(period.first, min(opened_by, known_by)))
    beers = _beers({*base, *(row[0] for row in sums)})
    found = {beer: DutyRow(beer) for beer, _ in beers.values()}
    for lot, micro in base.items():
        beer, pico = beers[lot]
        found[beer].opening_pico += pico(micro)
    for lot, *keys, before, late, within in sums:
        beer, pico = beers[lot]
        row = found[beer]
        for line, sign in _lines(keys):
            row.opening_pico += sign * pico(int(before))
            row.late[line] += sign * pico(int(late))
            row.lines[line] += sign * pico(int(within))
    rows = (row for row in found.values() if not row.is_empty)
    return sorted(rows, key=lambda row: (row.beer.product, row.beer.contents_micro, row.beer.strength))


def bonded_lots(period: Period, known_by: datetime = ALWAYS, *, from_the_first_day: bool = False) -> dict[int, int]:
    """Return what was in bond at the end of the period by lot, in millionths of its unit; of nothing no lot.

    It is counted on from the last closing before, or `from_the_first_day`.
    """
    closing = None if from_the_first_day else closing_to_count_from(period.first, known_by)
    base, sums = _sums(period, ALWAYS, known_by, closing)
    found = defaultdict(int, base)
    for lot, *keys, before, late, within in sums:
        for _, sign in _lines(keys):
            found[lot] += sign * int(before + late + within)
    return {lot: micro for lot, micro in found.items() if micro}


def _sums(
    period: Period, opened_by: datetime, known_by: datetime, closing: DutyClosing | None
) -> tuple[dict[int, int], list[tuple[Any, ...]]]:
    """What was in bond by lot when a period before was closed, and the sums of all that is to be added to that."""
    start, end = edges(period)
    if closing is None:
        base, since, newest = {}, BEGINNING, 0
    else:
        base, since, newest = lots_of(closing), begins(closing.last + timedelta(days=1)), closing.last_event_id or 0
    asked: list[datetime | int] = [since, end, newest, since, known_by, start, opened_by, start, opened_by, start]
    return base, _asked(SUMS, asked)


def postings_of(period: Period, line: str, product: str = "") -> list[tuple[Posting, int]]:
    """Return the postings of a line by time, each with the 10⁻¹² L that bond gained or lost by it."""
    found = postings_by_line(period, (line,))[line]
    return [(one, pico) for one, pico in found if product in ("", one.lot.material.code)]


def postings_by_line(
    period: Period, lines: Collection[str] = tuple(LINES), known_by: datetime = ALWAYS
) -> dict[str, list[tuple[Posting, int]]]:
    """Return the same of each of the lines; two statements, however many they are."""
    start, end = edges(period)
    asked = _asked(POSTINGS, [start, end, known_by])
    wanted = [(row[0], name, sign * row[-1]) for row in asked for name, sign in _lines(row[2:-2]) if name in lines]
    related = ("event", "event__actor", "lot__material", "from_location", "to_location")
    rows = Posting.objects.select_related(*related).in_bulk({key for key, _, _ in wanted})
    found: dict[str, list[tuple[Posting, int]]] = {name: [] for name in lines}
    for key, name, micro in wanted:
        found[name].append((rows[key], _pico(rows[key].lot.material, micro)))
    return found


def moved_between(start: datetime, end: datetime) -> list[Moved]:
    """Return what happened from `start` to before `end`, posting by posting and line by line, in order of time."""
    return _moved(_asked(POSTINGS, [start, end, ALWAYS]))


def moved_late(before: datetime, closing: DutyClosing) -> list[Moved]:
    """Return the same of what happened before a moment and was recorded after the closing."""
    newest = closing.last_event_id or newest_event(closing.closed_at)
    return _moved(_asked(LATE_POSTINGS, [newest, before, closing.closed_at]))


def _moved(asked: list[tuple[Any, ...]]) -> list[Moved]:
    lots = Lot.objects.select_related("material").in_bulk({row[1] for row in asked})
    events = Event.objects.only("kind", "happened_at", "recorded_at").in_bulk({row[-2] for row in asked})
    return [
        Moved(events[row[-2]], lots[row[1]], line, sign * int(row[-1]))
        for row in asked
        for line, sign in _lines(row[2:-2])
    ]


def lines_between(periods: Sequence[Period]) -> list[dict[str, int]]:
    """Return the lines of each of the periods, in order of time, of all beer together in 10⁻¹² L; two statements."""
    spans = [moment for period in periods for moment in edges(period)]
    sums = _asked(sums_between(len(periods)), [spans[0], spans[-1], *spans])
    lots = Lot.objects.filter(pk__in={row[0] for row in sums}).select_related("material")
    materials = {lot.pk: lot.material for lot in lots}
    found = [dict.fromkeys(LINES, 0) for _ in periods]
    for lot, *told in sums:
        for line, sign in _lines(told[:6]):
            for lines, micro in zip(found, told[6:], strict=True):
                lines[line] += sign * _pico(materials[lot], micro)
    return found


def totals(rows: Iterable[DutyRow]) -> dict[str, int]:
    """Return the lines of all rows together, with `opening`, `late` and `closing`, in 10⁻¹² L."""
    rows = list(rows)
    lines = {name: sum(row.lines.get(name, 0) for row in rows) for name in LINES}
    late = sum(sum(row.late.values()) for row in rows)
    closing = sum(row.closing_pico for row in rows)
    return {"opening": sum(row.opening_pico for row in rows), "late": late, **lines, "closing": closing}


def litres(pico: int) -> str:
    """Return the litres as an exact decimal, without zeros at its end."""
    exact = Decimal(pico).scaleb(-12, _WIDE)
    return f"{exact.normalize(_WIDE):f}" if exact else "0"


def strength_of(measured: MeasuredStrength | None) -> str:
    """Return the strength class of a lot: its measured alcohol to a tenth of a per cent by volume."""
    if measured is None:
        return NOT_MEASURED
    tenths = round(measured.value_micro * 10 / MICRO)
    return f"{tenths // 10}.{tenths % 10} % vol"


def _lines(keys: Any) -> list[tuple[str, int]]:
    kind, source, source_stands, target, target_stands, purpose = keys
    return lines_of(kind, (source, source_stands), (target, target_stands), purpose)


def _beers(keys: set[int]) -> dict[int, tuple[BeerKind, Any]]:
    """Return of each lot its kind of beer, and how a quantity of it becomes 10⁻¹² L."""
    lots = list(Lot.objects.filter(pk__in=keys).select_related("material"))
    strengths = measured_alcohols(lots)
    return {lot.pk: (_beer(lot, strengths.get(lot.pk)), partial(_pico, lot.material)) for lot in lots}


def _beer(lot: Lot, measured: MeasuredStrength | None) -> BeerKind:
    material = lot.material
    contents = material.contents_micro or 0
    return BeerKind(material.code, material.name, strength_of(measured), contents, material.container)


def _pico(material: Material, micro: int) -> int:
    return int(micro) * (material.contents_micro or MICRO)


def _asked(sql: str, asked: Sequence[datetime | int]) -> list[tuple[Any, ...]]:
    convert = connection.ops.adapt_datetimefield_value
    return rows_of(sql, [convert(one) if isinstance(one, datetime) else one for one in asked])
