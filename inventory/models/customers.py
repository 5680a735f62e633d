"""What is known of a customer besides its name: whom to ring in a recall, and how long beer must still keep."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from brewery.kernel.models import Request
from inventory.models.materials import Material
from inventory.models.parties import Party


class PartyContact(models.Model):
    """One person at a party, as told on a day. Never changed; a later row that names it in `replaces` takes over.

    `is_ended` rows say that nobody takes over.
    """

    party = models.ForeignKey(Party, on_delete=models.PROTECT, related_name="contacts")
    name = models.CharField(max_length=120)
    role = models.CharField(max_length=80, blank=True, default="")
    phone = models.CharField(max_length=40, blank=True, default="")
    email = models.EmailField(max_length=120, blank=True, default="")
    is_reachable_at_night = models.BooleanField(default=False)
    note = models.CharField(max_length=200, blank=True, default="")
    is_ended = models.BooleanField(default=False)
    replaces = models.OneToOneField("self", on_delete=models.PROTECT, null=True, blank=True, related_name="replaced_by")
    told_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("party", "name", "pk")
        constraints = (
            models.CheckConstraint(
                name="a_contact_can_be_reached", condition=Q(is_ended=True) | ~Q(phone="") | ~Q(email="")
            ),
            models.CheckConstraint(
                name="only_a_contact_that_was_there_ends", condition=Q(is_ended=False) | Q(replaces__isnull=False)
            ),
            models.CheckConstraint(
                name="a_contact_replaces_an_earlier_one", condition=Q(replaces=None) | Q(replaces__lt=F("id"))
            ),
        )

    def __str__(self) -> str:
        return self.name


class MinimumLife(models.Model):
    """How many days beer must still keep when a customer gets it. Never changed; the last row of its kind counts.

    Without a material it is for all that the customer buys. No days: the customer asks for none any more.
    """

    party = models.ForeignKey(Party, on_delete=models.PROTECT, related_name="minimum_lives")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    days = models.PositiveSmallIntegerField(null=True, blank=True)
    told_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("pk",)
        constraints = (
            models.CheckConstraint(name="a_minimum_life_is_under_ten_years", condition=Q(days=None) | Q(days__lt=3653)),
        )

    def __str__(self) -> str:
        return f"{self.party_id}: {self.days}"
