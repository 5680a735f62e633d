"""The nightly proof: when the brewery sleeps, every lot is put through mass balance and completeness."""

from datetime import time
from typing import Any

from brewery.kernel.clock import brewery_day
from brewery.kernel.jobs.registry import job
from traceability.queries.proof import prove

MOST_SHOWN = 50


@job("prove_record", daily_at=time(2, 45), writes=False)
def prove_record() -> dict[str, Any]:
    """Return how many lots were put through, how many each question doubts, and the first of those."""
    proof = prove(brewery_day())
    first = [{"question": one.question, "lot": one.lot, "words": one.words} for one in proof.doubts[:MOST_SHOWN]]
    return {"lots": proof.lots, "links": proof.links, "doubts": proof.by_question, "first": first}
