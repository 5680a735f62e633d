"""Planned brews: what is to be brewed on which day, and into which tank."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from brewery.kernel.models import Request
from brewery.production.models.brews import Brew
from brewery.production.models.sheets import BrewSheet
from inventory.models import Location


class BrewPlan(models.Model):
    """One brew that is planned for a day. It is started under the same code, or called off with a reason.

    What is reserved for it bears its code as the purpose.
    """

    class State(models.TextChoices):
        PLANNED = "planned", "planned"
        STARTED = "started", "started"
        CALLED_OFF = "called_off", "called off"

    code = models.CharField(max_length=20, unique=True)
    sheet = models.ForeignKey(BrewSheet, on_delete=models.PROTECT, related_name="plans")
    brew_on = models.DateField()
    cold_wort_micro = models.BigIntegerField()
    vessel = models.ForeignKey(Location, on_delete=models.PROTECT, null=True, blank=True, related_name="brew_plans")
    state = models.CharField(max_length=10, choices=State, default=State.PLANNED)
    revision = models.PositiveIntegerField(default=1)
    called_off_because = models.CharField(max_length=200, blank=True, default="")
    brew = models.OneToOneField(Brew, on_delete=models.PROTECT, null=True, blank=True, related_name="plan")
    planned_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="brew_plans")
    planned_at = models.DateTimeField()
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("brew_on", "code")
        constraints = (
            models.CheckConstraint(name="a_plan_makes_some_wort", condition=Q(cold_wort_micro__gt=0)),
            models.CheckConstraint(
                name="a_plan_that_was_started_has_its_brew",
                condition=Q(state="started", brew__isnull=False) | (~Q(state="started") & Q(brew=None)),
            ),
            models.CheckConstraint(
                name="a_plan_is_called_off_for_a_reason",
                condition=(Q(state="called_off") & ~Q(called_off_because=""))
                | (~Q(state="called_off") & Q(called_off_because="")),
            ),
        )

    def __str__(self) -> str:
        return self.code
