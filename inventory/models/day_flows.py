"""Day and year flows: the postings summed by the keys that reports ask for, so that a period is a sum of few rows."""

from django.db import models

from inventory.models.materials import Material


class ClockOffset(models.Model):
    """How far the brewery's clock is ahead of UTC from a moment on, until the next row. Kept by `migrate`.

    So a trigger can tell the brewery's day of a moment, on a database that knows no time zones.
    """

    since = models.DateTimeField(unique=True)
    seconds = models.IntegerField()

    class Meta:
        ordering = ("since",)

    def __str__(self) -> str:
        return f"{self.since}: {self.seconds} s"


class DayFlow(models.Model):
    """What of a material went from one kind of place to another on one of the brewery's days, by one kind of event.

    Written by a database trigger with each posting, by nothing else. A reversal is taken off the row of what it
    reverses, on the day that was reversed, under the day it was recorded on: so the sum over `recorded_on` is what is
    true of a day, and the rows up to some `recorded_on` are what was known by then. `slot` keeps writers apart who
    write at the same time, and means nothing: whoever reads sums over it.
    """

    day = models.DateField()
    recorded_on = models.DateField()
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="day_flows", db_index=False)
    kind = models.CharField(max_length=16)
    from_kind = models.CharField(max_length=16)
    to_kind = models.CharField(max_length=16)
    slot = models.SmallIntegerField(default=0)
    quantity_micro = models.BigIntegerField()

    class Meta:
        ordering = ("id",)
        constraints = (
            models.UniqueConstraint(
                fields=("day", "material", "kind", "from_kind", "to_kind", "recorded_on", "slot"),
                name="one_day_flow_a_day_and_way",
            ),
        )

    def __str__(self) -> str:
        return f"{self.day}: {self.material_id} {self.from_kind} to {self.to_kind}"


class YearFlow(models.Model):
    """The day flows of a year summed, but for the day on which they were recorded: so what lies years back is cheap.

    Written by the trigger that writes day flows, in the same breath, by nothing else.
    """

    year = models.SmallIntegerField()
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="year_flows", db_index=False)
    kind = models.CharField(max_length=16)
    from_kind = models.CharField(max_length=16)
    to_kind = models.CharField(max_length=16)
    slot = models.SmallIntegerField(default=0)
    quantity_micro = models.BigIntegerField()

    class Meta:
        ordering = ("id",)
        constraints = (
            models.UniqueConstraint(
                fields=("material", "year", "kind", "from_kind", "to_kind", "slot"),
                name="one_year_flow_a_year_and_way",
            ),
        )

    def __str__(self) -> str:
        return f"{self.year}: {self.material_id} {self.from_kind} to {self.to_kind}"
