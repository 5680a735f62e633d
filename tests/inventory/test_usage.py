"""Usage: opening and all that came and went is closing, in any period, by a sum over postings that shares nothing."""

from collections import defaultdict
from datetime import date, timedelta
from random import Random

import pytest
from django.db.models import Sum

from brewery.kernel.clock import brewery_day
from inventory.models import Balance, Event, Location, Posting
from inventory.queries.usage import Period, month_of, usage_of
from tests.brewhouse import START, Brewhouse, micro
from tests.histories import History

HERE = {"store", "silo", "brink", "pallet", "fermenter", "bright_tank"}
"""The kinds of places where a material is on hand, named here again."""


def on_hand(until: date) -> dict[str, int]:
    """What the postings leave on hand at the end of a day, each posting as it stands, reversals and all."""
    held: dict[str, int] = defaultdict(int)
    for row in Posting.objects.select_related("event", "lot__material", "from_location", "to_location"):
        if brewery_day(row.event.happened_at) <= until:
            sign = (row.to_location.kind in HERE) - (row.from_location.kind in HERE)
            held[row.lot.material.code] += sign * row.quantity_micro
    return {code: micro for code, micro in held.items() if micro}


@pytest.mark.parametrize("seed", range(4))
def test_every_period_of_a_random_history_opens_and_closes_with_what_was_on_hand(brewhouse: Brewhouse, seed: int):
    random = Random(seed)
    History(brewhouse, random).play(25)
    days = sorted({brewery_day(moment) for moment in Event.objects.values_list("happened_at", flat=True)})
    first, last = sorted(random.choices(days, k=2))
    usages = usage_of(Period(first, last))
    opening = {one.material.code: one.opening_micro for one in usages if one.opening_micro}
    closing = {one.material.code: one.closing_micro for one in usages if one.closing_micro}
    assert opening == on_hand(first - timedelta(1))
    assert closing == on_hand(last)
    assert all(one.opening_micro + sum(one.columns.values()) == one.closing_micro for one in usages)
    now = usage_of(Period(days[0], days[-1]))
    lying = Balance.objects.filter(location__kind__in=Location.ON_HAND).values_list("lot__material__code")
    assert {one.material.code: one.closing_micro for one in now if one.closing_micro} == {
        code: held for code, held in lying.annotate(held=Sum("quantity_micro")).order_by() if held
    }


def test_a_count_is_told_apart_from_what_was_used_and_lost(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg", hours=0)
    brewhouse.draw(brewhouse.start_brew("B1", hours=1), ("H1", "STORE", "3 kg"), hours=1)
    brewhouse.bring_back(brewhouse.brew("B1"), ("H1", "STORE", "1 kg"), hours=2)
    brewhouse.count("H1", "STORE", "17.5 kg", hours=3)
    (usage,) = usage_of(month_of(START.date()), [brewhouse.material("SAAZ")])
    told = {name: quantity for name, quantity in usage.columns.items() if quantity}
    assert told == {
        "received": micro("20 kg"),
        "used": -micro("3 kg"),
        "came_back": micro("1 kg"),
        "counted": -micro("0.5 kg"),
    }
    assert usage.used_micro == micro("2 kg")
    assert usage.closing_micro == micro("17.5 kg")


@pytest.mark.parametrize(
    ("period", "before", "year_before"),
    [
        (("2026-03-01", "2026-03-31"), ("2026-02-01", "2026-02-28"), ("2025-03-01", "2025-03-31")),
        (("2024-02-01", "2024-02-29"), ("2024-01-01", "2024-01-31"), ("2023-02-01", "2023-02-28")),
        (("2026-01-01", "2026-03-31"), ("2025-10-01", "2025-12-31"), ("2025-01-01", "2025-03-31")),
        (("2024-02-29", "2024-03-06"), ("2024-02-22", "2024-02-28"), ("2023-02-28", "2023-03-06")),
    ],
)
def test_a_period_is_compared_with_whole_months_where_it_is_of_whole_months(period, before, year_before):
    days = Period(*map(date.fromisoformat, period))
    assert str(days.before) == " to ".join(before)
    assert str(days.year_before) == " to ".join(year_before)
