"""Seals: digests of what was recorded, in a chain, so that a row changed behind the service's back is found."""

from django.db import models
from django.db.models import F, Q


class Seal(models.Model):
    """One link of the chain: the digest of the seal before it and of every request sealed with it. Never changed.

    `read_at` is when the requests were read; what had been recorded by then and bears no seal was not there then.
    """

    previous = models.OneToOneField("self", on_delete=models.PROTECT, null=True, blank=True, related_name="next")
    digest = models.CharField(max_length=64, unique=True)
    requests = models.PositiveIntegerField()
    rows = models.PositiveIntegerField()
    read_at = models.DateTimeField()
    sealed_at = models.DateTimeField()

    class Meta:
        ordering = ("id",)
        constraints = (
            models.CheckConstraint(
                name="a_seal_follows_an_older_one", condition=Q(previous=None) | Q(previous__lt=F("id"))
            ),
            models.UniqueConstraint(models.Value(1), condition=Q(previous=None), name="the_chain_of_seals_begins_once"),
        )

    def __str__(self) -> str:
        return f"seal {self.pk}"


class SealedRequest(models.Model):
    """One request with the digest of each row that it wrote, by table and key. Never changed.

    The request is named by its id and not by a foreign key, so that its seal outlives it.
    """

    seal = models.ForeignKey(Seal, on_delete=models.PROTECT, related_name="sealed")
    request = models.UUIDField(unique=True)
    digest = models.CharField(max_length=64)
    rows = models.JSONField()

    class Meta:
        ordering = ("seal", "request")

    def __str__(self) -> str:
        return f"{self.seal_id}: {self.request}"
