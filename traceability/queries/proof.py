"""The proof of the whole record: every lot's mass balance at once, and every lot that lacks what it should have."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, OuterRef

from brewery.kernel.database.sets import portions
from brewery.science.units import format_micro
from inventory.models import Balance, Lot, Specification
from inventory.models.dispositions import Disposition
from inventory.queries.judgements import judgements_of
from traceability.queries import completeness
from traceability.queries.settling import Settled, WholeRecord

BALANCE = "the_mass_balance_closes"
RESULTS = "a_released_lot_has_its_results"


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
    record = WholeRecord()
    doubts = list(_unbalanced({lot: one for lot, one in record.settled() if not one.closes}))
    doubts += [
        Doubt(name, lot, question.words) for name, question in completeness.QUESTIONS.items() for lot in question.lots()
    ]
    return Proof(len(record.totals), record.links, (*doubts, *_without_results(today)))


def _unbalanced(opened: Mapping[int, Settled]) -> Iterator[Doubt]:
    for portion in portions(sorted(opened)):
        units = Lot.objects.filter(pk__in=portion).values_list("pk", "material__base_unit")
        for lot, unit in units.order_by("pk"):
            yield Doubt(BALANCE, lot, _in_words(opened[lot], unit))


def _in_words(one: Settled, unit: str) -> str:
    total = f"{format_micro(one.total_micro, unit)} {unit}"
    if one.open_micro == 0:
        return f"{one.part:.7%} of its {total} is accounted for: the rest went into a lot that does not balance"
    difference = f"{format_micro(abs(one.open_micro), unit)} {unit}"
    if one.open_micro > 0:
        return f"{difference} of its {total} lies nowhere and went nowhere"
    return f"{difference} more lies somewhere or went on than there ever was of it ({total})"


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
