"""Recalls and mock recalls: what was opened, decided, asked of customers, done, and how it was closed.

The rows are never changed. What is affected and where it is now is no row: it is read off the record each time.
"""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from brewery.kernel.models import Request
from inventory.models import Lot, Party
from traceability.models.follows import Follows, follows_something
from traceability.models.holds import Hold


class Written(models.Model):
    """A row that somebody wrote at a moment, in a request. Never changed."""

    written_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        abstract = True


class Recall(Follows, Written):
    """One recall, or one drill. `made_from` and `made_until` narrow it to lots made then; subjects always count.

    `drawn_from` says among how many lots a drill's subject was drawn; without it somebody chose.
    """

    is_mock = models.BooleanField()
    hazard = models.TextField()
    made_from = models.DateTimeField(null=True, blank=True)
    made_until = models.DateTimeField(null=True, blank=True)
    drawn_from = models.PositiveIntegerField(null=True, blank=True)
    hold = models.ForeignKey(Hold, on_delete=models.PROTECT, null=True, blank=True, related_name="recalls")

    class Meta:
        ordering = ("-id",)
        constraints = (
            follows_something("a_recall_follows_some_links"),
            models.CheckConstraint(name="a_recall_names_its_hazard", condition=~Q(hazard="")),
            models.CheckConstraint(name="a_mock_recall_holds_nothing", condition=Q(is_mock=False) | Q(hold=None)),
            models.CheckConstraint(
                name="a_recall_ends_after_it_begins",
                condition=Q(made_from=None) | Q(made_until=None) | Q(made_from__lte=F("made_until")),
            ),
        )

    def __str__(self) -> str:
        return f"{'mock recall' if self.is_mock else 'recall'} {self.pk}"


class RecallSubject(models.Model):
    """One lot that a recall starts from. Never changed."""

    recall = models.ForeignKey(Recall, on_delete=models.PROTECT, related_name="subjects")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("id",)
        constraints = (models.UniqueConstraint(fields=("recall", "lot"), name="a_recall_starts_from_a_lot_once"),)

    def __str__(self) -> str:
        return f"{self.lot_id} of recall {self.recall_id}"


class RecallClass(Written):
    """How grave the hazard to health is, as people judged it. Never changed; the last row counts.

    The classes are those of 21 CFR 7.3(m).
    """

    class Class(models.TextChoices):
        I = "I", "Class I: serious harm to health, or death, is reasonably probable"  # noqa: E741
        II = "II", "Class II: harm that passes or can be undone, or a remote chance of serious harm"
        III = "III", "Class III: harm to health is not likely"

    recall = models.ForeignKey(Recall, on_delete=models.PROTECT, related_name="classes")
    value = models.CharField(max_length=3, choices=Class)
    reason = models.TextField()

    class Meta:
        ordering = ("id",)

    def __str__(self) -> str:
        return self.get_value_display()


class RecallNote(Written):
    """One note on a recall. Never changed."""

    recall = models.ForeignKey(Recall, on_delete=models.PROTECT, related_name="notes")
    text = models.TextField()

    class Meta:
        ordering = ("id",)

    def __str__(self) -> str:
        return f"note {self.pk}"


class RecallTask(Written):
    """One thing to be done in a recall. Never changed; a RecallTaskDone says that it was."""

    recall = models.ForeignKey(Recall, on_delete=models.PROTECT, related_name="tasks")
    words = models.CharField(max_length=200)

    class Meta:
        ordering = ("id",)

    def __str__(self) -> str:
        return self.words


class RecallTaskDone(Written):
    """One task was done, or need not be, as the note says. Never changed."""

    task = models.OneToOneField(RecallTask, on_delete=models.PROTECT, related_name="done")
    note = models.TextField(blank=True, default="")

    class Meta:
        ordering = ("id",)

    def __str__(self) -> str:
        return f"task {self.task_id} done"


class RecallCheck(Written):
    """One attempt to reach a customer, and what it said it holds. Never changed; the last one of a customer counts."""

    recall = models.ForeignKey(Recall, on_delete=models.PROTECT, related_name="checks")
    customer = models.ForeignKey(Party, on_delete=models.PROTECT, related_name="+")
    is_reached = models.BooleanField()
    spoke_with = models.CharField(max_length=120, blank=True, default="")
    note = models.TextField(blank=True, default="")

    class Meta:
        ordering = ("id",)
        constraints = (
            models.CheckConstraint(
                name="who_was_reached_has_a_name", condition=Q(is_reached=False) | ~Q(spoke_with="")
            ),
        )

    def __str__(self) -> str:
        return f"check {self.pk}"


class RecallCheckLot(models.Model):
    """What a customer said of one lot: what it still holds, and what is sold or used up. Never changed."""

    check_made = models.ForeignKey(RecallCheck, on_delete=models.PROTECT, related_name="lots")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="+")
    holds_micro = models.BigIntegerField()
    gone_micro = models.BigIntegerField()

    class Meta:
        ordering = ("id",)
        constraints = (
            models.UniqueConstraint(fields=("check_made", "lot"), name="a_check_tells_of_a_lot_once"),
            models.CheckConstraint(
                name="a_customer_holds_nothing_or_more", condition=Q(holds_micro__gte=0, gone_micro__gte=0)
            ),
        )

    def __str__(self) -> str:
        return f"{self.lot_id} in check {self.check_made_id}"


class RecallClosing(Written):
    """A recall is over. `open_points` are what was not settled then, which `reason` answers for. Never changed.

    `made_micro` and `accounted_micro` are of the unit that reconciled worst, `unit`.
    """

    recall = models.OneToOneField(Recall, on_delete=models.PROTECT, related_name="closing")
    reason = models.TextField(blank=True, default="")
    open_points = models.JSONField(default=list)
    lots = models.PositiveIntegerField()
    unit = models.CharField(max_length=4)
    made_micro = models.BigIntegerField()
    accounted_micro = models.BigIntegerField()

    class Meta:
        ordering = ("id",)

    def __str__(self) -> str:
        return f"end of recall {self.recall_id}"

    @property
    def percent_shown(self) -> str:
        """How much was accounted for, to three decimals; cut, so that it says 100 only where nothing was missing."""
        thousandths = 100_000 * self.accounted_micro // self.made_micro
        return f"{thousandths // 1000}.{thousandths % 1000:03d}"

    @property
    def taken(self) -> str:
        """How long the recall was open, in hours and minutes."""
        minutes = int((self.written_at - self.recall.written_at).total_seconds()) // 60
        return f"{minutes // 60} h {minutes % 60:02d} min"
