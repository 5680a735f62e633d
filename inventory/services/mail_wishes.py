"""People say what they wish to be mailed, each for themselves."""

from collections.abc import Collection
from uuid import UUID

from brewery.kernel.clock import now
from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import MailWish
from inventory.services.alerts import alert_kinds


@once("wish_for_mail", returns=MailWish)
def wish_for_mail(
    *, has_digest: bool, has_urgent: bool, actor: User, request_id: UUID, without: Collection[str] = ()
) -> MailWish:
    """The actor has these mails from now on, of every kind of alert but those `without`.

    Raises InvalidInput for mails to who has no address, and for a kind that there is not.
    """
    kinds = alert_kinds()
    for name in without:
        if name not in kinds:
            raise InvalidInput(field="without", value=name, problem=f"Choose from: {', '.join(sorted(kinds))}.")
    if (has_digest or has_urgent) and not actor.email:
        field = "has_digest" if has_digest else "has_urgent"
        problem = "You have no mail address here: ask administration to enter it."
        raise InvalidInput(field=field, value="yes", problem=problem)
    return MailWish.objects.create(
        person=actor,
        has_digest=has_digest,
        has_urgent=has_urgent,
        without=sorted(set(without)),
        told_at=now(),
        request_id=request_id,
    )
