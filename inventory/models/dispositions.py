"""Dispositions: what may be done with a lot."""

from django.db import models


class Disposition(models.TextChoices):
    """What may be done with a lot. Only a released one is drawn, packaged or shipped."""

    QUARANTINED = "quarantined", "quarantined"
    RELEASED = "released", "released"
    ON_HOLD = "on_hold", "on hold"
    REJECTED = "rejected", "rejected"


_MILD_TO_STRICT = (Disposition.RELEASED, Disposition.QUARANTINED, Disposition.ON_HOLD, Disposition.REJECTED)


def strictest(*dispositions: str) -> Disposition:
    """Return the strictest of the dispositions: what a mixture of such lots may be used for."""
    return max((Disposition(one) for one in dispositions), key=_MILD_TO_STRICT.index)
