"""Parties: those whom the brewery buys from and sells to."""

from django.db import models


class Party(models.Model):
    """One supplier or customer. Its locations in the ledger stand for what it sent and what it holds."""

    class Role(models.TextChoices):
        SUPPLIER = "supplier", "supplier"
        CUSTOMER = "customer", "customer"

    code = models.CharField(max_length=40, unique=True)
    name = models.CharField(max_length=120)
    role = models.CharField(max_length=8, choices=Role)

    class Meta:
        ordering = ("code",)
        verbose_name_plural = "parties"

    def __str__(self) -> str:
        return self.name
