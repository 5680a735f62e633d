"""Brews and packaging runs: by code, and with what they hold and what finished them."""

import re
from itertools import count
from typing import Any, TypeVar

from django.db.models import OuterRef, Prefetch, QuerySet, Subquery

from brewery.production.models import Brew, BrewPlan, PackagingRun
from brewery.production.queries.packaging_fills import ends_that_hold
from inventory.models import Balance, Event, Location, Posting

Work = TypeVar("Work", Brew, PackagingRun)

_FIRST = "B-000"
_FIRST_RUN = "P-000"
_ENDING = re.compile(r"(.*?)(\d*)", re.DOTALL)


def brew_of(code: str) -> Brew | None:
    """Return the brew of that code."""
    return Brew.objects.filter(code=code).select_related("location").first()


def run_of(code: str) -> PackagingRun | None:
    """Return the packaging run of that code."""
    return PackagingRun.objects.filter(code=code).select_related("location").first()


def work_of(code: str) -> Brew | PackagingRun | None:
    """Return the brew or packaging run of that code; no code names one of each."""
    return brew_of(code) or run_of(code)


def next_brew_code() -> str:
    """Return the code after that of the last brew, as people count: BR-009, BR-010; no place and no plan bears it."""
    return _code_after(Brew.objects.order_by("-pk").values_list("code", flat=True).first() or _FIRST)


def next_run_code() -> str:
    """Return the code after that of the last packaging run; no place and no plan bears it."""
    return _code_after(PackagingRun.objects.order_by("-pk").values_list("code", flat=True).first() or _FIRST_RUN)


def brews_with_contents() -> QuerySet[Brew]:
    """Return the brews, each with what lies in it now, and `finished_by_id`: its knock-out."""
    finish = Posting.objects.filter(
        from_location=OuterRef("location"), event__kind=Event.Kind.KNOCK_OUT, event__reversed_by=None
    )
    return _with_contents(Brew.objects.all(), finish)


def runs_with_contents() -> QuerySet[PackagingRun]:
    """Return the packaging runs, each with what lies in it now, and `finished_by_id`: its end."""
    return _with_contents(PackagingRun.objects.all(), ends_that_hold().filter(run=OuterRef("pk")).order_by("-pk"))


def _with_contents(rows: QuerySet[Work], finish: QuerySet[Any]) -> QuerySet[Work]:
    lying = Balance.objects.held().select_related("lot__material").order_by("lot")
    return (
        rows.select_related("beer", "location")
        .annotate(finished_by_id=Subquery(finish.values("event")[:1]))
        .prefetch_related(Prefetch("location__balances", lying))
    )


def _code_after(last: str) -> str:
    stem, number = _ENDING.fullmatch(last).groups()  # type: ignore[union-attr] # it matches anything
    bears = {
        *Location.objects.filter(code__startswith=stem).values_list("code", flat=True),
        *BrewPlan.objects.filter(code__startswith=stem).values_list("code", flat=True),
    }
    codes = (f"{stem}{following:0{len(number)}d}" for following in count(int(number or 0) + 1))
    return next(code for code in codes if code not in bears)
