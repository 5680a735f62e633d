"""Requests: what was asked, once, under an id that the asker chose."""

from django.conf import settings
from django.db import models


class Request(models.Model):
    """One write that was asked for, with its content as given.

    The asker makes the id and keeps it over retries: the same id and content gives the same answer, other content
    is refused. Written in the transaction of what it asked for, so it exists if and only if that happened.
    """

    id = models.UUIDField(primary_key=True)
    action = models.CharField(max_length=60)
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="requests")
    content = models.JSONField()
    recorded_at = models.DateTimeField()
    result_id = models.BigIntegerField(null=True)

    class Meta:
        ordering = ("recorded_at", "id")

    def __str__(self) -> str:
        return f"{self.action} {self.id}"
