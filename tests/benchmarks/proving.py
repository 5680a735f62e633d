"""The proof of the whole record in one run, against the mass balance of each lot by itself: sampled, and scaled up."""

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random
from resource import RUSAGE_SELF, getrusage
from time import perf_counter

from brewery.kernel.clock import brewery_day
from inventory.models import Lot
from tests.benchmarks.answers import Disagreement
from traceability.queries.mass_balance import mass_balance
from traceability.queries.proof import BALANCE, Proof, prove

SAMPLED = 100


@dataclass(frozen=True)
class Proved:
    """One proof: what it put through, its seconds, the process's peak of memory, and what lot by lot would take."""

    proof: Proof
    seconds: float
    peak_mb: int
    lot_by_lot_seconds: float

    @property
    def ratio(self) -> float:
        """How many times as long every lot by itself would take."""
        return self.lot_by_lot_seconds / self.seconds

    def __str__(self) -> str:
        return (
            f"{self.proof.lots:,} lots, {self.proof.links:,} links: {self.seconds:.1f} s, at most {self.peak_mb} MB; "
            f"lot by lot {self.lot_by_lot_seconds:,.0f} s"
        )


def proved(sampled: int = SAMPLED) -> Proved:
    """Prove the record of the default database, and some of its lots by themselves, which must come to the same."""
    start = perf_counter()
    proof = prove(brewery_day())
    seconds, peak_mb = perf_counter() - start, getrusage(RUSAGE_SELF).ru_maxrss // 1024
    keys = Random(13).sample(sorted(Lot.objects.values_list("pk", flat=True)), sampled)
    lots = list(Lot.objects.filter(pk__in=keys))
    return Proved(proof, seconds, peak_mb, _seconds_each(lots, proof) * proof.lots)


def _seconds_each(lots: Sequence[Lot], proof: Proof) -> float:
    doubted = {doubt.lot for doubt in proof.doubts if doubt.question == BALANCE}
    start = perf_counter()
    closing = {lot.pk: mass_balance(lot).closes for lot in lots}
    seconds = perf_counter() - start
    for lot, closes in closing.items():
        if closes == (lot in doubted):
            raise Disagreement(f"Lot {lot} by itself is not what the proof says.")
    return seconds / len(lots)
