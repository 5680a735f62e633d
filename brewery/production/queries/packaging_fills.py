"""Fills of packaging runs, and the ends of runs that hold."""

from django.db.models import Exists, OuterRef, QuerySet

from brewery.production.models import FilledTank, PackagingFill, PackagingRun, RunFinish
from inventory.models import Balance


def fills_of(run: PackagingRun) -> QuerySet[PackagingFill]:
    """Return the fills of a run that were not undone, the first first."""
    return fills().filter(run=run).order_by("event__happened_at", "pk")


def fills() -> QuerySet[PackagingFill]:
    """Return all fills that were not undone, each with its event, lot, material and person."""
    return PackagingFill.objects.filter(event__reversed_by=None).select_related("event__actor", "lot__material", "run")


def tanks_of(run: PackagingRun) -> QuerySet[FilledTank]:
    """Return what left each tank for the fills of a run that were not undone."""
    rows = FilledTank.objects.filter(fill__run=run, fill__event__reversed_by=None)
    return rows.select_related("vessel", "lot").order_by("pk")


def ends_that_hold() -> QuerySet[RunFinish]:
    """Return the ends of runs that were not undone, and after which nothing came to lie in the run again."""
    lying = Balance.objects.filter(location=OuterRef("run__location"), quantity_micro__gt=0)
    return RunFinish.objects.filter(~Exists(lying), event__reversed_by=None)
