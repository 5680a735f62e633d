"""Whether the last closed period left in bond, lot by lot, what its postings say from the first day on."""

from collections.abc import Iterator

from inventory.models import Lot
from inventory.queries.audits.running import audit_of
from inventory.queries.usage import Period
from traceability.models import DutyClosing
from traceability.queries.duty_bonded import lots_of
from traceability.queries.duty_record import bonded_lots

BONDED = "what_was_in_bond_at_a_closing_is_the_sum_of_its_postings"


@audit_of(BONDED, "lot")
def bonded_lots_that_disagree() -> Iterator[tuple[int, str]]:
    """Yield each lot of which the newest closing tells another quantity. Those before it have gone into it."""
    closing = DutyClosing.objects.exclude(last_event=None).order_by("-pk").first()
    if closing is None:
        return
    period = Period(closing.first, closing.last)
    kept, posted = lots_of(closing), bonded_lots(period, closing.closed_at, from_the_first_day=True)
    for lot in sorted(key for key in {*kept, *posted} if kept.get(key, 0) != posted.get(key, 0)):
        code = Lot.objects.values_list("code", flat=True).get(pk=lot)
        told = f"closing {closing.pk} says {kept.get(lot, 0)}, the postings {posted.get(lot, 0)} micro-units"
        yield lot, f"of {code} {told}"
