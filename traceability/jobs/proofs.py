"""The nightly proof: when the brewery sleeps, every lot is put through mass balance and completeness."""

from datetime import time
from typing import Any

from brewery.kernel.services.job_registry import job
from traceability.services.proofs import PROVE, prove_and_keep


@job(PROVE, daily_at=time(2, 45), writes=False)
def prove_record() -> dict[str, Any]:
    """Return which proof was kept, how many lots and links it put through, and how many lots each question doubts.

    It reads for long and writes briefly, in a transaction of its own; proved twice, the record is proved twice.
    """
    row, proof = prove_and_keep()
    return {"proof": row.pk, "lots": proof.lots, "links": proof.links, "doubts": proof.by_question}
