"""The duty record as the movements that a scheme reckons with, and the worksheet that comes of them."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from brewery.kernel.clock import brewery_day
from brewery.science.duty.known import SCHEMES
from brewery.science.duty.movements import Container, ContainerKind, Kind, Measured, Movement, Place
from brewery.science.duty.questions import Facts
from brewery.science.duty.schemes import Account, DutyScheme, LateEntry, Worksheet, worksheet
from brewery.science.units import MICRO
from inventory.models import Lot
from inventory.queries.measured_strengths import MeasuredStrength, measured_alcohols, measured_extracts
from inventory.queries.usage import Period
from traceability.queries.duty_containers import container_of
from traceability.queries.duty_lines import movement_of
from traceability.queries.duty_moments import edges
from traceability.queries.duty_periods import closing_before, record_under
from traceability.queries.duty_rates import rate_book
from traceability.queries.duty_record import DutyRow, Moved, moved_between, moved_late

_GAINS = frozenset({"produced", "added", "received_in_bond", "received_duty_paid", "returned", "surplus"})


@dataclass(frozen=True, slots=True)
class _Measured:
    """What moved, with the strengths of its lot as they were measured."""

    moved: Moved
    alcohol: MeasuredStrength | None
    extract: MeasuredStrength | None


def worksheet_of(scheme: str, period: Period, facts: Facts) -> Worksheet:
    """Return the worksheet of a period under a scheme. Raises OutOfRange, in words, where a fact is missing."""
    law, book = SCHEMES[scheme], rate_book(scheme)
    movements = [*_late(scheme, period), *movements_of(period)]
    account = Account(
        period.first,
        period.last,
        sorted(movements, key=lambda one: one.day),
        opening=_opening(scheme, period),
        so_far=_so_far(law, period.first) if law.counts_the_year else Decimal(0),
        facts=facts,
    )
    return worksheet(law, account, book)


def movements_of(period: Period) -> list[Movement]:
    """Return the movements of beer in a period, as they are known now."""
    start, end = edges(period)
    return list(_movements(moved_between(start, end)))


def _so_far(law: DutyScheme, first: date) -> Decimal:
    """What was taxed in the calendar year before the day."""
    begins = date(first.year, 1, 1)
    return law.quantity(movements_of(Period(begins, first - timedelta(days=1)))) if begins < first else Decimal(0)


def _late(scheme: str, period: Period) -> list[Movement]:
    """What happened before the period and was recorded after the one before it was closed, where that belongs here."""
    before = closing_before(scheme, period.first)
    if before is None or SCHEMES[scheme].late_entry is not LateEntry.NEXT_PERIOD:
        return []
    start, _ = edges(period)
    return list(_movements(moved_late(start, before)))


def _movements(moved: list[Moved]) -> Iterator[Movement]:
    lots = {one.lot for one in moved}
    alcohols, extracts = measured_alcohols(lots), measured_extracts(lots)
    for one in moved:
        yield from _of(_Measured(one, alcohols.get(one.lot.pk), extracts.get(one.lot.pk)))


def _of(one: _Measured) -> Iterator[Movement]:
    """What was packaged leaves the cellar for racking or bottling and is filled there; what was tipped back returns."""
    line, micro = one.moved.line, one.moved.micro
    container, place = _container(one.moved.lot)
    if line == "packaged" and container:
        is_keg = container.kind is ContainerKind.KEG
        bulk = Place.RACKING_BULK if is_keg else Place.BOTTLING_BULK
        yield _movement(one, Kind.TO_RACKING if is_keg else Kind.TO_BOTTLING, Place.CELLAR, micro, None)
        yield _movement(one, Kind.RACKED if is_keg else Kind.BOTTLED, bulk, micro, container)
    elif line == "reworked" and container:
        yield _movement(one, Kind.TO_CELLAR, place, -micro, container)
    elif line not in ("packaged", "reworked"):
        yield _movement(one, movement_of(line), place, micro if line in _GAINS else -micro, container)


def _movement(one: _Measured, kind: Kind, place: Place, micro: int, container: Container | None) -> Movement:
    lot, event = one.moved.lot, one.moved.event
    volume = micro * (lot.material.contents_micro or MICRO) // MICRO
    count = micro // MICRO if container and micro % MICRO == 0 else 0
    return Movement(
        day=brewery_day(event.happened_at),
        product=lot.material.name,
        kind=kind,
        place=place,
        volume_micro_l=volume,
        container=container if count else None,
        count=count,
        alcohol=_measured(one.alcohol),
        extract=_measured(one.extract),
        reference=f"event {event.pk}",
        entered_on=brewery_day(event.recorded_at),
    )


def _measured(found: MeasuredStrength | None) -> Measured | None:
    return Measured(Decimal(found.value_micro).scaleb(-6), found.measured_on, found.method) if found else None


def _container(lot: Lot) -> tuple[Container | None, Place]:
    container = container_of(lot.material.contents_micro or 0, lot.material.container)
    return container, _place_of(container)


def _place_of(container: Container | None) -> Place:
    if container is None:
        return Place.CELLAR
    return Place.RACKING_KEG if container.kind is ContainerKind.KEG else Place.BOTTLING_CASE


def _opening(scheme: str, period: Period) -> dict[Place, Decimal]:
    """What was on hand at the beginning by place: as the last worksheet that was kept ends, otherwise as it lay."""
    before = closing_before(scheme, period.first)
    if before and before.last + timedelta(days=1) == period.first and (kept := closing_kept(before.record)):
        return kept
    return _lay(SCHEMES[scheme], record_under(scheme, period))


def closing_kept(record: Mapping[str, Any]) -> dict[Place, Decimal] | None:
    """Return what a kept worksheet had on hand at its end, by place; None where none could be reckoned then."""
    sheet = (record.get("worksheet") or {}).get("sheet")
    return {Place(place): Decimal(amount) for place, amount in sheet["closing"].items()} if sheet else None


def _lay(law: DutyScheme, rows: list[DutyRow]) -> dict[Place, Decimal]:
    pico = dict.fromkeys(Place, 0)
    for row in rows:
        pico[_place_of(container_of(row.beer.contents_micro, row.beer.container))] += row.opening_pico
    return {place: law.on_hand(amount // MICRO) for place, amount in pico.items()}
