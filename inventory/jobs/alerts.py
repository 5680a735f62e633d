"""Looking for causes to tell people of, every few minutes."""

from datetime import timedelta
from typing import Any

from brewery.kernel.services.job_registry import job
from inventory.services.alerts import look_at


@job("look_for_alerts", every=timedelta(minutes=10), writes=False)
def look_for_alerts() -> dict[str, Any]:
    """Return by kind how many alerts were opened, how many closed, and how many stand."""
    told = {name: looked for name, looked in look_at().items() if looked}
    return {name: [looked.opened, looked.closed, looked.standing] for name, looked in told.items()}
