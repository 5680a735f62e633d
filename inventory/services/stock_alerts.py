"""What the stock itself gives cause to tell: lots that wait too long, orders that are late, jobs that failed or found
something, and webhooks that do not answer."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from django.conf import settings
from django.db.models import Count, F, Max, OuterRef, Subquery
from django.db.models.functions import Coalesce
from django.urls import reverse

from brewery.kernel.access import Role
from brewery.kernel.clock import brewery_day
from brewery.kernel.models import Job
from brewery.kernel.queries.jobs import histories
from inventory.models import Alert, Decision, Lot, WebhookMessage
from inventory.models.dispositions import Disposition
from inventory.queries.orders import outstanding_lines, progress_of
from inventory.queries.waiting import lots_held_back
from inventory.services import webhooks
from inventory.services.alert_bells import Bell
from inventory.services.alerts import Cause, alerts_of

ANSWERED_WITHIN = timedelta(hours=1)
"""By then the job that sends a message was tried five times."""

_COUNTED = {"audit_ledger": "disagreements", "verify_seals": "broken"}
"""Jobs whose results tell what does not agree, and what of a result counts it."""


@alerts_of(
    "waiting_for_quality",
    "Waiting for quality",
    after=(
        Bell.DISPOSITION,
        Bell.CERTIFICATE,
    ),
)
def lots_that_wait_too_long(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each lot in quarantine or on hold for longer than the brewery's setting says."""
    last = Decision.objects.filter(lot=OuterRef("pk")).order_by("-pk")
    lots = lots_held_back().exclude(disposition=Disposition.REJECTED)
    lots = lots.annotate(since=Coalesce(Subquery(last.values("happened_at")[:1]), F("made_at")))
    for lot in lots.filter(since__lt=moment - timedelta(days=settings.QUALITY_WITHIN_DAYS)):
        days, state = (moment - lot.since).days, Disposition(lot.disposition).label
        words = f"Lot {lot.code} of {lot.material.name} has been {state} for {days} days."
        yield _of_lot(lot, words, Role.QUALITY)


@alerts_of("rejected_here", "Rejected and still here", after=(Bell.DISPOSITION,))
def rejected_lots(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each rejected lot of which something still lies in the brewery."""
    for lot in lots_held_back(Disposition.REJECTED):
        words = f"Lot {lot.code} of {lot.material.name} is rejected and still here: send it back, or destroy it."
        yield _of_lot(lot, words, Role.QUALITY)


def _of_lot(lot: Lot, words: str, owner: Role) -> Cause:
    return Cause(
        f"lot {lot.pk}", words, owner, address=reverse("lot", args=[lot.pk]), lot_id=lot.pk, material_id=lot.material_id
    )


@alerts_of("order_late", "Order late", after=(Bell.ORDER,))
def late_orders(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each line of an order of which some should have come before today."""
    today = brewery_day(moment)
    for one in progress_of(outstanding_lines().filter(due_on__lt=today)):
        line = one.line
        days = (today - line.due_on).days
        yield Cause(
            f"line {line.pk}",
            f"{line.material.name} of order {line.order.number} from {line.order.supplier.name} was due on "
            f"{line.due_on.isoformat()}, {days} {'day' if days == 1 else 'days'} ago.",
            Role.RECEIVING,
            address=reverse("order", args=[line.order_id]),
            material_id=line.material_id,
        )


@alerts_of("job_failed", "Job failed")
def failed_jobs(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each kind of job whose last one failed for good. Of webhooks there is a kind of its own."""
    for history in histories().values():
        if history.last and history.has_failed and history.name != webhooks.SEND:
            words = f"The job “{history.name}” failed: {history.last.error.splitlines()[0][:200]}"
            address = reverse("jobs")
            yield Cause(f"job {history.name}", words, Role.ADMINISTRATION, Alert.Severity.URGENT, address)


@alerts_of(webhooks.UNANSWERED, "Webhook does not answer")
def silent_webhooks(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each address that has not taken a message for an hour."""
    late = WebhookMessage.objects.filter(sent_at=None, written_at__lt=moment - ANSWERED_WITHIN, webhook__ended_at=None)
    for row in late.order_by().values("webhook", "webhook__address").annotate(count=Count("pk")):
        words = (
            f"{row['webhook__address']} has not taken {row['count']} messages for more than an hour. Look into it and "
            "send them again, or end the webhook."
        )
        yield Cause(
            f"webhook {row['webhook']}", words, Role.ADMINISTRATION, address=reverse("webhook", args=[row["webhook"]])
        )


@alerts_of("record_disagrees", "The record disagrees with itself")
def disagreements(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each nightly check of ledger and seals whose last run found something."""
    done = Job.objects.filter(name__in=_COUNTED, state=Job.State.DONE).values("name").annotate(last=Max("pk"))
    for job in Job.objects.filter(pk__in=[row["last"] for row in done]):
        count = (job.result or {}).get(_COUNTED[job.name], 0)
        if count:
            words = (
                f"“{job.name}” found {count} disagreements: the record may have been changed behind the service. "
                "Stop relying on it, and look into them at once."
            )
            yield Cause(f"job {job.name}", words, Role.QUALITY, Alert.Severity.URGENT)
