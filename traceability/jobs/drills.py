"""The drill that is due: looked for every morning, so that people find it when they come to work."""

import uuid
from datetime import time
from typing import Any

from brewery.kernel.clock import brewery_day
from brewery.kernel.services.job_registry import job
from brewery.kernel.services.people import command_line
from traceability.queries.drills import lots_to_draw_from
from traceability.services.drills import draw_drill, is_drill_due

_NAMESPACE = uuid.UUID("6f3c1e0a-50f2-5f0d-8a4e-3e5b7a9d2c41")


@job("draw_drill", daily_at=time(7, 30))
def draw_due_drill() -> dict[str, Any]:
    """Return the drill that was opened today, or that none was due or possible. One a day, however often it runs."""
    if not is_drill_due() or not lots_to_draw_from():
        return {"drill": None}
    request_id = uuid.uuid5(_NAMESPACE, brewery_day().isoformat())
    drill = draw_drill(actor=command_line(), request_id=request_id)
    return {"drill": drill.pk, "lots": [subject.lot.code for subject in drill.subjects.select_related("lot")]}
