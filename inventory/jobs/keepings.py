"""How long lots keep, worked out anew each night: what a changed setting, or a clock that was wrong, left behind."""

from datetime import time
from typing import Any

from brewery.kernel.services.job_registry import job
from inventory.services.keepings import work_out_all


@job("work_out_keepings", daily_at=time(2, 0))
def work_out_keepings() -> dict[str, Any]:
    """Return how many were not what the record says."""
    return {"changed": work_out_all()}
