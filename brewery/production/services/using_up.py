"""Using up: what was proposed is kept for the planned brews, all of it or nothing."""

from uuid import UUID, uuid5

from brewery.kernel.errors import DomainError, InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.queries.using_up import MOST_DAYS, using_up
from inventory.models import Reservation
from inventory.services.reservations import reserve
from inventory.services.stock import refuse_no_lines


class ProposalChanged(DomainError):
    code = "proposal_changed"
    title = "What is proposed has changed."
    template = "Since you looked at it the plans, the stock or the assays have changed, and so has what is proposed."
    advice = "Look at it again, and reserve that."


@once("reserve_as_proposed", returns=Reservation)
def reserve_as_proposed(*, days: int, whole: bool, digest: str, actor: User, request_id: UUID) -> Reservation:
    """Every lot that is proposed for the plans of the next days is kept for them, through the days of the brews.

    Returns the first of the reservations. Raises ProposalChanged where it is no longer what the digest says,
    NothingToDo where nothing is proposed, NotFree, InvalidInput.
    """
    if not 1 <= days <= MOST_DAYS:
        raise InvalidInput(field="days", value=days, problem=f"Give 1 to {MOST_DAYS} days.")
    proposal = using_up(days, whole=whole)
    if proposal.digest != digest:
        raise ProposalChanged(field="digest")
    refuse_no_lines(proposal.takings, "What is to be reserved")
    kept = [
        reserve(
            lot=one.lot,
            quantity_micro=one.out_micro,
            purpose=one.plan.code,
            until=one.plan.brew_on,
            actor=actor,
            request_id=uuid5(request_id, f"{one.plan.code} {one.lot.pk}"),
        )
        for one in sorted(proposal.takings, key=lambda one: (one.lot.pk, one.plan.code))
    ]
    return kept[0]
