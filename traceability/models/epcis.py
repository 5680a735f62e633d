"""EPCIS events that suppliers and customers sent: kept as they came, beside the record and never in the ledger."""

from django.db import models

from inventory.models import Party
from traceability.models.recalls import Written

LONGEST_URI = 500


class CapturedDocument(Written):
    """One document as it was taken in, from whom and by whom. Never changed; the request holds it word for word.

    `doubts` are what the standard allows and somebody should look at. `known_events` were on record before.
    """

    party = models.ForeignKey(Party, on_delete=models.PROTECT, related_name="captured_documents")
    known_events = models.PositiveIntegerField()
    doubts = models.JSONField(default=list)

    class Meta:
        ordering = ("-id",)

    def __str__(self) -> str:
        return f"document {self.pk} of {self.party_id}"


class CapturedEvent(models.Model):
    """One event of somebody else, as it was sent. Never changed.

    An event and the declaration that it was an error share their `event_id` and their `hash`, which is that of CBV 2.0.
    `digest` is of the hash and the declaration.
    """

    document = models.ForeignKey(CapturedDocument, on_delete=models.PROTECT, related_name="events")
    event_id = models.CharField(max_length=LONGEST_URI)
    is_error = models.BooleanField()
    type = models.CharField(max_length=20)
    happened_at = models.DateTimeField()
    step = models.CharField(max_length=LONGEST_URI, blank=True, default="")
    disposition = models.CharField(max_length=LONGEST_URI, blank=True, default="")
    hash = models.CharField(max_length=100)
    digest = models.CharField(max_length=64)
    content = models.JSONField()

    class Meta:
        ordering = ("id",)
        constraints = (
            models.UniqueConstraint(fields=("event_id", "is_error"), name="an_event_of_others_is_kept_once"),
        )
        indexes = (models.Index(fields=("happened_at",), name="captured_by_time"),)

    def __str__(self) -> str:
        return self.event_id

    @property
    def step_in_words(self) -> str:
        """What happened, for people: the business step, or the kind of event where none was told."""
        return (self.step or self.type.removesuffix("Event")).replace("_", " ")


class CapturedThing(models.Model):
    """One thing that a captured event names, in its one spelling, and the lot that its name ends in. Never changed."""

    event = models.ForeignKey(CapturedEvent, on_delete=models.PROTECT, related_name="things")
    uri = models.CharField(max_length=LONGEST_URI)
    part = models.CharField(max_length=8)
    lot = models.CharField(max_length=LONGEST_URI, blank=True, default="")

    class Meta:
        ordering = ("id",)
        indexes = (
            models.Index(fields=("uri",), name="captured_by_uri"),
            models.Index(fields=("lot",), name="captured_by_lot"),
        )

    def __str__(self) -> str:
        return self.uri
