"""The one place that says what time it is, so that a test can move it."""

from datetime import datetime

from django.utils import timezone


def now() -> datetime:
    """Return the present moment as an aware UTC datetime."""
    return timezone.now()
