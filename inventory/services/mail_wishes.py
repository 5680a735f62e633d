"""People say what they wish to be mailed, each for themselves."""

from uuid import UUID

from brewery.kernel.clock import now
from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import MailWish


@once("wish_for_mail", returns=MailWish)
def wish_for_mail(*, has_digest: bool, has_urgent: bool, actor: User, request_id: UUID) -> MailWish:
    """The actor has these mails from now on. Raises InvalidInput for mails to who has no address."""
    if (has_digest or has_urgent) and not actor.email:
        field = "has_digest" if has_digest else "has_urgent"
        problem = "You have no mail address here: ask administration to enter it."
        raise InvalidInput(field=field, value="yes", problem=problem)
    return MailWish.objects.create(
        person=actor, has_digest=has_digest, has_urgent=has_urgent, told_at=now(), request_id=request_id
    )
