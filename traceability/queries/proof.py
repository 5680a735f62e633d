"""The proof of the whole record: every lot's mass balance at once, and every lot that lacks something it should have.

A lot is settled as far as its parts lie somewhere for good, or went into lots that are settled: its settled part is
(what lies + what counts missed + the sum over its children of what went across x their settled part) / its total. That
is a sparse triangular system, since a parent is always older than its child: one pass from the youngest lot to the
oldest solves it, in time that grows with lots and links, where a trace for each lot would grow with its answers.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db import connection
from django.db.models import Exists, OuterRef

from brewery.kernel.database.sets import portions
from inventory.models import Balance, Lot, Specification
from inventory.models.dispositions import Disposition
from inventory.queries.judgements import judgements_of
from traceability.queries import completeness

TOLERANCE = 1e-9
BALANCE = "the_mass_balance_closes"
RESULTS = "a_released_lot_has_its_results"

_LOTS = "SELECT id, made_micro, counted_micro FROM inventory_lot WHERE reversed_by_id IS NULL ORDER BY id DESC"
_LYING = """
SELECT lot_id, CAST(SUM(quantity_micro) AS bigint) FROM inventory_balance
 WHERE quantity_micro > 0 AND NOT may_go_below_zero GROUP BY lot_id
"""
_LINKS = """
SELECT parent_id, child_id, quantity_micro FROM inventory_link WHERE reversed_by_id IS NULL AND quantity_micro > 0
"""


@dataclass(frozen=True)
class Settled:
    """What one lot's balance comes to: its settled part by shares, and what its own postings leave open, exactly."""

    total_micro: int
    open_micro: int
    part: float

    @property
    def closes(self) -> bool:
        """Whether everything is accounted for: exactly by the ledger, to one part in 10^9 by shares."""
        return self.open_micro == 0 and abs(self.part - 1) <= TOLERANCE


@dataclass(frozen=True)
class Doubt:
    """One lot that the proof cannot pass, and why."""

    question: str
    lot: int
    words: str


@dataclass(frozen=True)
class Proof:
    """What the proof of the whole record came to: how many lots it put through, and each that did not pass."""

    lots: int
    links: int
    doubts: tuple[Doubt, ...]

    @property
    def by_question(self) -> dict[str, int]:
        """How many lots each question doubts; those that doubt none are there too."""
        counts = dict.fromkeys((BALANCE, *completeness.QUESTIONS, RESULTS), 0)
        for doubt in self.doubts:
            counts[doubt.question] += 1
        return counts


def prove(today: date) -> Proof:
    """Put every lot of the record through; nothing is sampled and nothing is written."""
    settled, links = settled_lots()
    doubts = [
        Doubt(BALANCE, lot, f"{one.open_micro} micro-units are open, {one.part:.9f} of it is settled")
        for lot, one in settled.items()
        if not one.closes
    ]
    doubts += [
        Doubt(name, lot, question.words) for name, question in completeness.QUESTIONS.items() for lot in question.lots()
    ]
    return Proof(len(settled), links, (*doubts, *_without_results(today)))


def settled_lots() -> tuple[dict[int, Settled], int]:
    """Return what every lot's balance comes to, and how many links that took: three statements and one pass."""
    lying: Mapping[int, int] = dict(_rows(_LYING))
    children: dict[int, list[tuple[int, int]]] = defaultdict(list)
    links = 0
    for parent, child, quantity in _rows(_LINKS):
        children[parent].append((child, quantity))
        links += 1
    settled: dict[int, Settled] = {}
    for lot, made, counted in _rows(_LOTS):
        total = made + max(0, counted)
        here = lying.get(lot, 0) + max(0, -counted)
        went_on = children.get(lot, ())
        part = here + sum(quantity * settled[child].part for child, quantity in went_on if child in settled)
        open_micro = total - here - sum(quantity for _, quantity in went_on)
        settled[lot] = Settled(total, open_micro, part / total)
    return settled, links


def _rows(sql: str) -> Iterator[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(sql)
        while rows := cursor.fetchmany(50_000):
            yield from rows


def _without_results(today: date) -> Iterator[Doubt]:
    """Yield the released lots on hand whose results are missing, or outside what is asked of their material."""
    lying = Balance.objects.on_hand().filter(lot=OuterRef("pk"))
    asked = Specification.objects.filter(material=OuterRef("material"), in_force_from__lte=today)
    keys = Lot.objects.filter(Exists(lying), Exists(asked), disposition=Disposition.RELEASED, reversed_by=None)
    for portion in portions(list(keys.order_by("pk").values_list("pk", flat=True))):
        lots = Lot.objects.filter(pk__in=portion).select_related("material")
        for key, judgement in judgements_of(lots, today).items():
            if judgement.faults:
                yield Doubt(RESULTS, key, "; ".join(fault.sentence for fault in judgement.faults))
