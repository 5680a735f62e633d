"""What people wish to be mailed."""

from django.conf import settings
from django.db import models

from brewery.kernel.models import Request


class MailWish(models.Model):
    """Which mails one person wishes to have. Never changed; a person's last row counts.

    `without` are the kinds of alert, by name, of which the person is mailed nothing.
    """

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="mail_wishes")
    has_digest = models.BooleanField()
    has_urgent = models.BooleanField()
    without = models.JSONField(default=list)
    told_at = models.DateTimeField()
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("pk",)
        indexes = (models.Index(fields=("person", "-id"), name="last_mail_wish_of_a_person"),)

    def __str__(self) -> str:
        return f"mail wish {self.pk}"
