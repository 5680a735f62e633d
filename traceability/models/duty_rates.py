"""What the brewery enters of a duty scheme: its rates, dated and with their source, and what the scheme asks of it."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from brewery.kernel.models import Request


class DutyRate(models.Model):
    """A rate of a scheme from a day on, as the brewery found it. Never changed; of the same day the last row counts.

    It stands in the place of the row that came with the scheme, if there was one for that day. `checked_on` is the day
    on which somebody compared it with the law; None is "to be checked".
    """

    scheme = models.CharField(max_length=40)
    key = models.CharField(max_length=60)
    value_micro = models.BigIntegerField()
    valid_from = models.DateField()
    valid_until = models.DateField(null=True, blank=True)
    source = models.CharField(max_length=400)
    checked_on = models.DateField(null=True, blank=True)
    told_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("scheme", "key", "valid_from", "id")
        constraints = (
            models.CheckConstraint(
                name="a_duty_rate_ends_after_it_begins",
                condition=Q(valid_until=None) | Q(valid_until__gte=F("valid_from")),
            ),
            models.CheckConstraint(name="a_duty_rate_has_its_source", condition=~Q(source="")),
        )

    def __str__(self) -> str:
        return f"{self.scheme} {self.key} from {self.valid_from}"


class DutyFacts(models.Model):
    """What a scheme asks of the brewery, answered from a day on. Never changed; the last that was told counts.

    `facts` is by the keys of the scheme's questions: a number as text, or a yes or no.
    """

    scheme = models.CharField(max_length=40)
    since = models.DateField()
    facts = models.JSONField()
    told_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("scheme", "since", "id")

    def __str__(self) -> str:
        return f"{self.scheme} from {self.since}"
