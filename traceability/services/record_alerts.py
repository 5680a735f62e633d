"""What the proof of the record and the work of quality give cause to tell: findings, missed nights, drills, recalls."""

from collections.abc import Iterator
from datetime import datetime

from django.db.models import Count
from django.urls import reverse

from brewery.kernel.access import Role
from brewery.kernel.clock import on_the_wall
from inventory.models import Alert
from inventory.services.alert_bells import Bell
from inventory.services.alerts import Cause, alerts_of
from traceability.models import Finding, Recall
from traceability.queries.findings import OVERDUE, TITLES, last_proof
from traceability.queries.proof import BALANCE
from traceability.services.drills import is_drill_due


@alerts_of("proof_finding", "Found by the proof of the record")
def findings(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each question that the last proof doubts lots by."""
    standing = Finding.objects.standing().order_by().values_list("question").annotate(Count("pk"))
    for question, count in standing:
        title, advice = TITLES[question]
        severity = Alert.Severity.URGENT if question == BALANCE else Alert.Severity.WARNING
        words = f"{title}: {count} {'lot' if count == 1 else 'lots'}. {advice}"
        yield Cause(question, words, Role.QUALITY, severity, reverse("record-proof"))


@alerts_of("proof_missed", "Proof of the record missed")
def missed_nights(moment: datetime) -> Iterator[Cause]:
    """Yield one cause where the record was not proved last night."""
    proof = last_proof()
    if proof and moment - proof.proved_at > OVERDUE:
        words = f"The record was last proved on {on_the_wall(proof.proved_at)}: a night was missed."
        yield Cause("proof", words, Role.ADMINISTRATION, Alert.Severity.WARNING, reverse("record-proof"))


@alerts_of("drill_due", "Mock recall due")
def due_drills(moment: datetime) -> Iterator[Cause]:
    """Yield one cause where the brewery's setting asks for a mock recall and none was held in time."""
    if is_drill_due():
        words = "A mock recall is due."
        yield Cause("drill", words, Role.QUALITY, Alert.Severity.WARNING, reverse("recalls"))


@alerts_of("recall_open", "Recall open", after=(Bell.RECALL,))
def open_recalls(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each recall in earnest that is not closed."""
    for recall in Recall.objects.filter(is_mock=False, closing=None):
        words = (
            f"Recall {recall.pk} is open since {on_the_wall(recall.written_at)}: {recall.hazard.splitlines()[0][:200]}"
        )
        yield Cause(
            f"recall {recall.pk}", words, Role.QUALITY, Alert.Severity.URGENT, reverse("recall", args=[recall.pk])
        )
