"""A month's duty record out of many postings of beer: counted on from the closing before it, and from the first day.

The postings are made as those of the benchmark of usage are, of kegs; both ways must tell the same to the last digit.
"""

from collections.abc import Iterator
from datetime import UTC, date, datetime
from time import perf_counter
from typing import Any
from unittest.mock import patch

from brewery.kernel.models import Request, User
from inventory.models import Event
from inventory.queries.usage import Period
from tests.benchmarks.answers import Disagreement
from tests.benchmarks.databases import exists, finish, make_empty, using
from tests.benchmarks.usage import MONTH, Posted, load
from traceability.models import BondedLot, DutyClosing
from traceability.queries import duty_record

POSTINGS = 3_000_000
MAY = Period(date(2025, 5, 1), date(2025, 5, 31))
KEPT_AT = datetime(2026, 1, 2, tzinfo=UTC)


class Bonded(Posted):
    """The postings of beer, with a closing, and the database that holds them."""

    @property
    def name(self) -> str:
        """Its name, part of the database's."""
        return f"{self.links}_postings_of_beer"


def run(database: str, postings: int = POSTINGS) -> list[tuple[str, str, str, str]]:
    """Make the postings and the closing where they are missing, measure, and return the lines of the table."""
    history = Bonded(database, postings)
    if not exists(history):
        make_empty(history)
        with using(history):
            load(postings, kind="packaged", base_unit="each", contents_micro=50_000_000)
            _close()
        finish(history)
    with using(history):
        return list(_lines(postings))


def _close() -> None:
    closing = DutyClosing.objects.create(
        scheme="us",
        first=MAY.first,
        last=MAY.last,
        record={},
        digest="",
        closed_at=KEPT_AT,
        last_event=Event.objects.order_by("-pk").first(),
        actor=User.objects.get(),
        request=Request.objects.get(),
    )
    lots = duty_record.bonded_lots(MAY)
    BondedLot.objects.bulk_create(
        BondedLot(closing=closing, lot_id=lot, quantity_micro=micro) for lot, micro in lots.items()
    )


def _lines(postings: int) -> Iterator[tuple[str, str, str, str]]:
    counted_on, told = min((_timed() for _ in range(3)), key=lambda one: one[0])
    with patch.object(duty_record, "closing_to_count_from", lambda *_: None):
        from_the_first, whole = _timed()
    if told != whole:
        raise Disagreement("Counting on from the closing tells another month than counting from the first day.")
    words = f"{len(told)} kinds of beer of {postings:,} postings; {counted_on:.1f} s / {from_the_first:.1f} s"
    ratio = f"1/{from_the_first / counted_on:,.0f}"
    yield "a month's duty after a closing / from the first day", ratio, "<= 1/3", words


def _timed() -> tuple[float, list[Any]]:
    start = perf_counter()
    rows = duty_record.duty_record(MONTH)
    took = perf_counter() - start
    return took, [(row.beer, row.opening_pico, dict(row.lines), row.closing_pico) for row in rows]
