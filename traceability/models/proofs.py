"""What the nightly proofs of the record found, since when, and until when."""

from django.db import models
from django.db.models import Q

from inventory.models import Lot


class RecordProof(models.Model):
    """One proof of the whole record: when it was read, and how many lots and links were put through. Never changed.

    `findings` is how many it found in all, whether they were known before or not.
    """

    proved_at = models.DateTimeField()
    lots = models.PositiveIntegerField()
    links = models.PositiveIntegerField()
    findings = models.PositiveIntegerField()

    class Meta:
        ordering = ("-id",)

    def __str__(self) -> str:
        return f"proof {self.pk}"


class FindingQuerySet(models.QuerySet["Finding"]):
    """Findings, narrowed by whether they still stand."""

    def standing(self) -> "FindingQuerySet":
        """Those that the last proof still found."""
        return self.filter(end=None)


class Finding(models.Model):
    """One lot that did not pass one question of a proof, in words. Never changed; it is over once it has an end."""

    question = models.CharField(max_length=60)
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="findings")
    words = models.TextField()
    found_by = models.ForeignKey(RecordProof, on_delete=models.PROTECT, related_name="found")

    objects = FindingQuerySet.as_manager()

    class Meta:
        ordering = ("question", "lot_id", "id")
        constraints = (models.CheckConstraint(name="a_finding_says_what_it_is", condition=~Q(words="")),)

    def __str__(self) -> str:
        return f"{self.lot_id}: {self.question}"


class FindingEnd(models.Model):
    """The first proof that no longer found what one before it had found. Never changed."""

    finding = models.OneToOneField(Finding, on_delete=models.PROTECT, related_name="end")
    proof = models.ForeignKey(RecordProof, on_delete=models.PROTECT, related_name="ended")

    class Meta:
        ordering = ("id",)

    def __str__(self) -> str:
        return f"end of finding {self.finding_id}"
