"""Drills: mock recalls that are due, of a lot that is drawn at random so that nobody can prepare for it."""

import secrets
from collections.abc import Sequence
from datetime import timedelta
from uuid import UUID

from django.conf import settings

from brewery.kernel.clock import now
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Lot
from traceability.models import Recall
from traceability.queries.drills import lots_to_draw_from
from traceability.services.recalls import write_recall

HAZARD = "Drill: this lot was drawn at random. Find all that came of it, and account for every part."


def is_drill_due() -> bool:
    """Return whether the brewery wants drills, and none was opened for as long as its setting says."""
    days: int = settings.MOCK_RECALL_DAYS
    if not days:
        return False
    return not Recall.objects.filter(is_mock=True, written_at__gt=now() - timedelta(days=days)).exists()


@once("draw_drill", returns=Recall)
def draw_drill(*, actor: User, request_id: UUID) -> Recall:
    """A mock recall of a lot drawn at random is open; it says among how many. Raises NothingToDo without any."""
    lots = lots_to_draw_from()
    drawn: Sequence[Lot] = [Lot.objects.get(pk=secrets.choice(lots))] if lots else []
    return write_recall(
        lots=drawn, hazard=HAZARD, is_mock=True, drawn_from=len(lots), actor=actor, request_id=request_id
    )
