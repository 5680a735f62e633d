"""Picking: first expired first out of what keeps long enough, whole pallets first, never more than is free."""

from datetime import date, timedelta

import pytest
from django.db import DatabaseError, transaction
from hypothesis import given
from hypothesis import strategies as st

from brewery.kernel.errors import InvalidInput
from brewery.production.models import Pick
from brewery.production.queries.picking import FreeLot, FreePlace, from_lot, proposals_for, short_life
from brewery.production.services.dispatch_refusals import (
    KeepsTooShort,
    MoreThanWanted,
    NotFreeToPick,
    NotOnTheOrder,
    PickGone,
)
from brewery.production.services.picking import put_back
from inventory.models import Location, Lot, Reservation
from inventory.services.refusals import LotNotReleased, WrongPlace
from inventory.services.reservations import reserve
from tests.brewhouse import Brewhouse, micro
from tests.ledger import refused
from tests.production.dispatching import (
    asks_for,
    in_days,
    kegs,
    left_out,
    ordered,
    pallet_of,
    picked,
    progress,
    proposed,
)
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """Twenty kegs that keep 100 days and ten that keep 40 lie in the cold store."""
    kegs(brewhouse, "LATE", 20, keeps=100)
    kegs(brewhouse, "SOON", 10, keeps=40)
    return brewhouse


def test_the_first_to_expire_are_proposed_first_over_lots_and_places(house: Brewhouse):
    house.move("LATE", "COLD", "STORE", "5 each", hours=3)
    assert proposed(ordered(house, 27)) == [("SOON", "COLD", 10), ("LATE", "STORE", 5), ("LATE", "COLD", 12)]


def test_what_keeps_too_short_is_held_or_expired_is_named_with_the_reason(house: Brewhouse):
    kegs(house, "OLD", 1, keeps=-1)
    kegs(house, "HELD", 1, keeps=90)
    kegs(house, "NODAY", 1, keeps=None)
    house.decide("HELD", "on_hold", hours=5)
    asks_for(house, 60)
    order = ordered(house, 5, days=2)
    assert proposed(order) == [("LATE", "COLD", 5)]
    assert left_out(order) == {
        "OLD": f"it is past its best-before day on {in_days(2).isoformat()}",
        "SOON": "it keeps 38 days, and 60 are asked for",
        "HELD": "on hold",
        "NODAY": "it has no best-before day, and 60 days are asked for",
    }


def test_whole_pallets_go_first_where_they_fit(house: Brewhouse):
    big, small = pallet_of(house, "SOON", 6), pallet_of(house, "SOON", 3)
    assert proposed(ordered(house, 8)) == [("SOON", big.sscc, 6), ("SOON", "COLD", 1), ("SOON", small.sscc, 1)]
    assert proposed(ordered(house, 4, "O2")) == [("SOON", small.sscc, 3), ("SOON", "COLD", 1)]


def test_a_shortage_is_shown(house: Brewhouse):
    (proposal,) = proposals_for(progress(ordered(house, 33)))
    assert proposal.short == 3


def test_what_is_reserved_or_picked_for_others_is_left_alone(house: Brewhouse):
    reserve(lot=house.lot("SOON"), quantity_micro=micro("7 each"), purpose="a fair", **house.by("receiving"))
    picked(house, ordered(house, 2, "O2"), "SOON", 2)
    order = ordered(house, 5)
    assert proposed(order) == [("SOON", "COLD", 1), ("LATE", "COLD", 4)]
    assert left_out(order) == {"SOON": "reserved, picked, or not decided on"}


def test_what_is_picked_is_reserved_under_the_orders_number(house: Brewhouse):
    order = ordered(house, 12)
    first = picked(house, order, "SOON", 4)
    picked(house, order, "SOON", 3)
    picked(house, order, "LATE", 2)
    kept = {row.lot.code: row.quantity_micro for row in Reservation.objects.filter(purpose="O1", let_go_at=None)}
    assert kept == {"SOON": micro("7 each"), "LATE": micro("2 each")}
    assert (progress(order).picked, progress(order).lines[0].open, progress(order).state) == (9, 3, "open")
    put_back(pick=first, **house.by("receiving"))
    assert Reservation.objects.get(purpose="O1", lot=house.lot("SOON"), let_go_at=None).quantity_micro == micro(
        "3 each"
    )
    assert progress(order).lines[0].open == 7


def test_the_last_ones_are_picked_once_and_another_lot_is_named(house: Brewhouse):
    first, second = ordered(house, 10), ordered(house, 10, "O2")
    picked(house, first, "SOON", 9)
    sentence = "Of lot SOON in Cold store, 1 can be picked; 10 were asked for."
    with refused(NotFreeToPick, sentence, field="count"):
        picked(house, second, "SOON", 10)
    with pytest.raises(NotFreeToPick) as told:
        picked(house, second, "SOON", 10)
    assert told.value.instead == "Pick instead: 9 of lot LATE in Cold store."


def test_more_than_is_wanted_takes_a_reason(house: Brewhouse):
    order = ordered(house, 3)
    sentence = "Of Quillmere Lager, 50 L keg, 3 are still wanted for order O1; 4 were picked."
    with refused(MoreThanWanted, sentence, field="count"):
        picked(house, order, "SOON", 4)
    assert picked(house, order, "SOON", 4, more_because="one for the fair").more_because == "one for the fair"
    assert progress(order).state == "picked"


def test_what_is_not_for_the_order_is_refused(house: Brewhouse):
    kegs(house, "BOT", 5, keeps=100, material="BOTTLE500")
    asks_for(house, 60)
    order = ordered(house, 5)
    sentence = "Lot BOT is Quillmere Lager, 0.5 L bottle; order O1 does not ask for it."
    with refused(NotOnTheOrder, sentence, field="lot"):
        picked(house, order, "BOT", 1)
    day = in_days(2).isoformat()
    sentence = f"Lot SOON is not for The Heron Inn on {day}: it keeps 38 days, and 60 are asked for."
    with refused(KeepsTooShort, sentence, field="lot"):
        picked(house, order, "SOON", 1)
    assert picked(house, order, "SOON", 1, short_life_reason="the landlord knows").count == 1
    house.decide("LATE", "on_hold", hours=5)
    with refused(LotNotReleased, "Lot LATE is on hold, so it cannot be used.", field="lot"):
        picked(house, order, "LATE", 1)
    with refused(WrongPlace, "Silo 2 is a silo; this needs a store or pallet.", field="location"):
        picked(house, order, "SOON", 1, "SILO2")
    with pytest.raises(InvalidInput, match="Give 1 or more"):
        picked(house, order, "SOON", 0)


def test_a_pick_is_put_back_once_and_stays_on_record(house: Brewhouse):
    made = picked(house, ordered(house, 3), "SOON", 2)
    put_back(pick=made, **house.by("receiving"))
    with refused(PickGone, "These 2 of lot SOON were put back or shipped already.", field="pick"):
        put_back(pick=made, **house.by("receiving"))
    with pytest.raises(DatabaseError), transaction.atomic():
        Pick.objects.update(put_back_at=None)
    with pytest.raises(DatabaseError), transaction.atomic():
        Pick.objects.all().delete()


def test_what_was_held_after_it_was_picked_can_be_put_back(house: Brewhouse):
    order = ordered(house, 5)
    first = picked(house, order, "SOON", 2)
    picked(house, order, "SOON", 1)
    house.decide("SOON", "on_hold", hours=5)
    put_back(pick=first, **house.by("receiving"))
    assert progress(order).picked == 1


DAY = date(2026, 5, 1)
LOTS = st.lists(
    st.tuples(
        st.integers(-5, 40),
        st.lists(st.tuples(st.sampled_from(["store", "pallet"]), st.integers(1, 6), st.booleans()), max_size=3),
        st.integers(0, 12),
    ),
    max_size=4,
)


def free_of(index: int, keeps: int, places: list[tuple[str, int, bool]], free: int) -> FreeLot:
    lot = Lot(pk=index, code=f"L{index}", best_before=DAY + timedelta(days=keeps))
    lying = tuple(
        FreePlace(Location(pk=10 * index + at, code=f"P{index}{at}", kind=kind), count, kind == "pallet" and alone)
        for at, (kind, count, alone) in enumerate(places)
    )
    return FreeLot(lot, lying, min(free, sum(place.count for place in lying)))


@given(lots=LOTS, asked=st.integers(0, 30), wanted=st.integers(1, 20))
def test_what_is_proposed_is_what_taking_one_at_a_time_takes(lots, asked: int, wanted: int):
    """The oracle sorts single kegs by their day and takes them one by one."""
    frees = sorted(
        (free_of(index, *lot) for index, lot in enumerate(lots, start=1)),
        key=lambda free: (free.lot.best_before, free.lot.pk),
    )
    singles = [
        (free.lot.best_before, free.lot.pk)
        for free in frees
        for _ in range(free.free)
        if (free.lot.best_before - DAY).days >= asked
    ]
    expected = sorted(singles)[:wanted]
    ways = []
    for free in frees:
        if not short_life(free.lot, asked, DAY):
            ways += from_lot(free, wanted - sum(way.count for way in ways))
    assert sorted((way.lot.best_before, way.lot.pk) for way in ways for _ in range(way.count)) == expected
    for way in ways:
        (free,) = (one for one in frees if one.lot.pk == way.lot.pk)
        (place,) = (one for one in free.places if one.location.pk == way.location.pk)
        assert 0 < way.count <= place.count
        assert not way.is_whole_pallet or way.count == place.count
    assert len({(way.lot.pk, way.location.pk) for way in ways}) == len(ways)
