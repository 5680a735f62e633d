"""How warm places are kept: a change counts from its moment on, and splits a lot's history where it falls."""

from datetime import timedelta
from itertools import pairwise

import pytest
from django.db import IntegrityError, transaction
from hypothesis import given
from hypothesis import strategies as st

from brewery.kernel.clock import now
from brewery.kernel.errors import InvalidInput
from inventory.models import Location, Warmth
from inventory.queries.hop_alpha import alphas_of
from inventory.queries.warmths import cut, warmth_at, warmth_of
from inventory.services.refusals import InTheFuture, WrongPlace
from inventory.services.warmths import keep_place_at
from tests.brewhouse import START, Brewhouse, at, rid
from tests.inventory.laboratory import Laboratory
from tests.inventory.test_hop_alpha import expected
from tests.signing import signed_in
from tests.standing import built_once

DAY = 24


def keep(house: Brewhouse, degrees: float | None, *, days: float, place: str = "STORE") -> Warmth:
    return keep_place_at(
        location=house.place(place),
        milli_c=None if degrees is None else round(degrees * 1000),
        since=at(days * DAY),
        **house.by("administration"),
    )


@built_once
def hops(brewhouse: Brewhouse) -> Brewhouse:
    """H1 of 4 % alpha came on day 0 into the store, which was at 20 °C before that."""
    keep(brewhouse, 20, days=-1)
    brewhouse.deliver("SAAZ", "H1", "20 kg", supplier="HOPYARD")
    Laboratory(brewhouse).enter("H1", values={"alpha": "4"}, number="A-7", issued_on=START.date())
    return brewhouse


def alpha(house: Brewhouse, days: float) -> float:
    (found,) = alphas_of([(house.lot("H1"), house.place("STORE"), at(days * DAY))])
    assert found
    return found.alpha_pct


def test_a_change_counts_from_its_moment_on(hops: Brewhouse):
    keep(hops, 5, days=30)
    assert alpha(hops, 20) == pytest.approx(expected((20, 20)), rel=1e-9)
    assert alpha(hops, 100) == pytest.approx(expected((30, 20), (70, 5)), rel=1e-9)


def test_what_is_told_late_changes_the_history_from_then_on(hops: Brewhouse):
    keep(hops, 5, days=60)
    keep(hops, 10, days=40)
    assert alpha(hops, 100) == pytest.approx(expected((40, 20), (20, 10), (40, 5)), rel=1e-9)


def test_saying_the_same_again_changes_nothing(hops: Brewhouse):
    before = alpha(hops, 100)
    keep(hops, 20, days=33.3)
    assert alpha(hops, 100) == before


def test_of_two_for_one_moment_the_later_word_counts(hops: Brewhouse):
    keep(hops, 5, days=30)
    keep(hops, 8, days=30)
    assert warmth_of(hops.place("STORE"), at(31 * DAY)) == 8_000


def test_where_nobody_knows_for_a_while_the_certificate_stands(hops: Brewhouse):
    keep(hops, None, days=30)
    assert alpha(hops, 20) < 4
    assert alpha(hops, 40) == 4


def test_before_the_first_change_the_register_counts(brewhouse: Brewhouse):
    Location.objects.filter(code="COLD").update(nominal_milli_c=2_000)
    keep(brewhouse, 6, days=1, place="COLD")
    cold = brewhouse.place("COLD")
    assert (warmth_of(cold, at(0)), warmth_of(cold, at(25))) == (2_000, 6_000)


def test_what_cannot_be_is_refused(brewhouse: Brewhouse):
    facts = {"since": at(0), **brewhouse.by("administration")}
    with pytest.raises(InvalidInput, match="Give -40 to 60 °C"):
        keep_place_at(location=brewhouse.place("STORE"), milli_c=90_000, **facts)
    with pytest.raises(InTheFuture):
        keep_place_at(location=brewhouse.place("STORE"), milli_c=0, **facts | {"since": now() + timedelta(hours=1)})
    with pytest.raises(WrongPlace):
        keep_place_at(location=brewhouse.place("loss"), milli_c=0, **facts)
    assert Warmth.objects.count() == 0


def test_warmths_are_never_changed_or_deleted(brewhouse: Brewhouse):
    keep(brewhouse, 5, days=0)
    with pytest.raises(IntegrityError, match="warmths_are_never_changed"), transaction.atomic():
        Warmth.objects.update(milli_c=1)
    with pytest.raises(IntegrityError, match="warmths_are_never_deleted"), transaction.atomic():
        Warmth.objects.all()._raw_delete("default")


@given(
    told=st.lists(st.tuples(st.integers(0, 100), st.sampled_from([0, 5_000, 20_000, None])), max_size=8),
    ends=st.tuples(st.integers(0, 100), st.integers(0, 100)),
)
def test_stretches_cover_the_time_without_gap_and_hold_what_was_so_at_each_moment(told, ends):
    changes = sorted({at(hours): (at(hours), milli_c) for hours, milli_c in told}.values(), key=lambda one: one[0])
    start, end = at(min(ends)), at(max(ends))
    found = list(cut(changes, 12_000, start, end))[::-1]
    assert bool(found) == (start < end)
    if found:
        assert (found[0][0], found[-1][1]) == (start, end)
    for one, following in pairwise(found):
        assert one[1] == following[0]
        assert one[2] != following[2]
    for since, until, milli_c in found:
        moments = (since, until - timedelta(seconds=1))
        assert {warmth_at(changes, 12_000, moment) for moment in moments} == {milli_c}


def test_the_page_says_it_and_shows_it(brewhouse: Brewhouse):
    client = signed_in(brewhouse, "administration")
    address = f"/places/{brewhouse.place('COLD').pk}/"
    answer = client.post(
        f"{address}temperature/",
        {"request_id": str(rid()), "temperature_c": "3.5", "happened_at": "2026-03-02T09:00"},
    )
    assert (answer.status_code, answer["Location"]) == (303, address)
    assert "3.5 °C" in client.get(address).content.decode()
    refused = client.post(f"{address}temperature/", {"request_id": str(rid()), "temperature_c": "300"})
    assert refused.status_code == 400
    assert "Give -40 to 60 °C" in refused.content.decode()
