# ruff: noqa: S608  the only text put into these is code
"""Day and year flows made anew: after the tables came, and when the brewery's time zone was changed."""

from django.db import connections, transaction

from brewery.kernel.database.locks import hold_still
from brewery.kernel.database.sets import AT_ONCE
from inventory.models import ClockOffset, DayFlow, Posting, YearFlow
from inventory.queries import flow_text
from inventory.queries.brewery_days import days_are_the_brewerys_own, offsets


def keep_the_days(using: str = "default") -> None:
    """The database tells days as the brewery's time zone does, and day flows are what they would have been so."""
    if days_are_the_brewerys_own(using):
        return
    with transaction.atomic(using=using):
        ClockOffset.objects.using(using).all().delete()
        rows = (ClockOffset(since=since, seconds=seconds) for since, seconds in offsets())
        ClockOffset.objects.using(using).bulk_create(rows, batch_size=AT_ONCE)
        make_anew(using)


def make_anew(using: str = "default") -> None:
    """Every day and year flow is the sum of its postings; must stand inside a transaction. Nobody posts meanwhile."""
    if using == "default":
        hold_still(Posting)
    for flows in (DayFlow, YearFlow):
        flows.objects.using(using).all().delete()
    vendor = connections[using].vendor
    every = flow_text.flows_of_all(vendor)
    with connections[using].cursor() as cursor:
        cursor.execute(
            f"INSERT INTO inventory_dayflow ({flow_text.KEYS}, quantity_micro, slot)"
            f" SELECT {flow_text.KEYS}, CAST(SUM(quantity_micro) AS bigint), 0 FROM ({every}) flow"
            f" GROUP BY {flow_text.KEYS}"
        )
        cursor.execute(
            f"INSERT INTO inventory_yearflow ({flow_text.YEAR_KEYS}, quantity_micro, slot)"
            f" SELECT {flow_text.YEAR_KEYS}, quantity_micro, 0 FROM ({flow_text.years_of_days(vendor)}) flow"
        )
