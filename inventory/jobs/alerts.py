"""Looking for causes to tell people of, every few minutes and soon after what may open or close some."""

from collections.abc import Mapping
from datetime import timedelta
from typing import Any

from brewery.kernel.services.job_registry import job
from inventory.services.alert_bells import LOOK, Bell
from inventory.services.alerts import Looked, kinds_after, look_at


@job("look_for_alerts", every=timedelta(minutes=10), writes=False)
def look_for_alerts() -> dict[str, Any]:
    """Return by kind how many alerts were opened, how many closed, and how many stand."""
    return _told(look_at())


@job(LOOK, writes=False)
def look_at_alerts(bell: str) -> dict[str, Any]:
    """As `look_for_alerts`, of the kinds that follow such a write."""
    return _told(look_at(kinds_after(Bell(bell))))


def _told(looks: Mapping[str, Looked | None]) -> dict[str, Any]:
    done = {name: looked for name, looked in looks.items() if looked}
    return {name: [looked.opened, looked.closed, looked.standing] for name, looked in done.items()}
