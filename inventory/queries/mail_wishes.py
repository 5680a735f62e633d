"""What people wish to be mailed: the daily digest unless they said otherwise, urgent alerts at once if they said so."""

from collections.abc import Iterable

from django.db.models import Max

from brewery.kernel.models import User
from inventory.models import MailWish


def wishes_of(people: Iterable[User]) -> dict[int, MailWish]:
    """Return each person's wish by id; of who never said anything, a row that is not saved and says what holds."""
    asked = [person.pk for person in people]
    last = MailWish.objects.filter(person__in=asked).order_by().values("person").annotate(last=Max("pk"))
    told = {row.person_id: row for row in MailWish.objects.filter(pk__in=[row["last"] for row in last])}
    return {key: told.get(key) or MailWish(person_id=key, has_digest=True, has_urgent=False) for key in asked}
