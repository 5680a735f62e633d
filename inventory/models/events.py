"""Events: things that happened."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from brewery.kernel.models import Request


class Event(models.Model):
    """One thing that happened: who, when it happened, when it was recorded, what kind, why. Never changed.

    A mistake is put right by an event of its own that names it in `reverses` and carries the same `happened_at`, so
    that at any past moment the two cancel.
    """

    class Kind(models.TextChoices):
        RECEIVE = "receive", "receive"
        REFILL = "refill", "refill of a silo"
        MOVE = "move", "move"
        DRAW = "draw", "draw"
        RETURN_TO_STOCK = "return_to_stock", "return to stock"
        KNOCK_OUT = "knock_out", "knock out"
        PITCH = "pitch", "pitch"
        TRANSFER = "transfer", "transfer"
        KRAEUSEN = "kraeusen", "kraeusen"
        BLEND = "blend", "blend"
        ADD = "add", "addition to a tank"
        HARVEST = "harvest", "yeast harvest"
        PROPAGATE = "propagate", "propagation of yeast"
        FILTER = "filter", "filtration"
        PACKAGE = "package", "packaging"
        FINISH_RUN = "finish_run", "end of a packaging run"
        SHIP = "ship", "shipment"
        TAKE_BACK = "take_back", "return from a customer"
        REWORK = "rework", "rework of packaged beer"
        COUNT = "count", "count or gauge"
        DESTROY = "destroy", "destruction"
        SEND_BACK = "send_back", "return to the supplier"
        SAMPLE = "sample", "sample"
        REVERSE = "reverse", "reversal"

    kind = models.CharField(max_length=16, choices=Kind)
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="events")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="events")
    reference = models.CharField(max_length=60, blank=True, default="")
    reason = models.TextField(blank=True, default="")
    override_reason = models.TextField(blank=True, default="")
    reverses = models.OneToOneField("self", on_delete=models.PROTECT, null=True, blank=True, related_name="reversed_by")

    class Meta:
        ordering = ("happened_at", "id")
        indexes = (models.Index(fields=("happened_at", "id"), name="event_by_time"),)
        constraints = (
            models.CheckConstraint(
                name="an_event_is_recorded_after_it_happened", condition=Q(happened_at__lte=F("recorded_at"))
            ),
            models.CheckConstraint(
                name="a_reversal_and_only_a_reversal_names_what_it_reverses",
                condition=Q(kind="reverse", reverses__isnull=False) | (~Q(kind="reverse") & Q(reverses=None)),
            ),
        )

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.pk}"
