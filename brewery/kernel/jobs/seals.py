"""The nightly seal: when the brewery sleeps, the day is sealed, and every earlier seal is looked at again."""

from datetime import time
from itertools import islice
from typing import Any

from brewery.kernel.queries.seals import broken
from brewery.kernel.services import seals
from brewery.kernel.services.job_registry import job

MOST_SHOWN = 20


@job("seal_record", daily_at=time(3, 0), writes=False)
def seal_record() -> dict[str, Any]:
    """Return the seal that the record is under now. It seals once however often it runs, in transactions of its own."""
    seal = seals.seal_record()
    return {"seal": seal.pk, "digest": seal.digest} if seal else {"seal": None}


@job("verify_seals", daily_at=time(3, 15), writes=False)
def verify_seals() -> dict[str, Any]:
    """Return how many things are not as they were sealed, and the first of them."""
    findings = broken()
    first = [str(finding) for finding in islice(findings, MOST_SHOWN)]
    return {"broken": len(first) + sum(1 for _ in findings), "first": first}
