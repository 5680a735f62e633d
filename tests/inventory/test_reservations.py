"""Reservations: a part of a lot is kept for something until it is taken for that, let go, or its day is over."""

from datetime import date, timedelta

import pytest
import time_machine

from brewery.kernel.clock import brewery_day
from brewery.kernel.errors import InvalidInput, NotAllowed
from brewery.production.services.work import draw_for
from inventory.models import Lot, Reservation
from inventory.services.refusals import LotNotReleased, LotReserved
from inventory.services.reservations import KeptAlready, LetGoAlready, NotFree, let_go, reserve
from tests.brewhouse import Brewhouse, at, micro
from tests.inventory.stockroom import keep, of_lot
from tests.ledger import refused
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """20 kg of hops H1, and the brews B1 and B2 under way."""
    brewhouse.stock_up()
    brewhouse.start_brew("B1", hours=1)
    brewhouse.start_brew("B2", hours=1)
    return brewhouse


def draw(house: Brewhouse, brew: str, quantity: str, hours: float = 2) -> object:
    return house.draw(house.brew(brew), ("H1", "STORE", quantity), hours=hours)


def free(house: Brewhouse) -> int:
    return of_lot(house, "H1", brewery_day()).free_micro


def test_what_is_kept_is_not_free(house: Brewhouse):
    keep(house, "H1", "12 kg", "B1")
    assert free(house) == micro("8 kg")


def test_a_draw_for_something_else_leaves_what_is_kept(house: Brewhouse):
    keep(house, "H1", "12 kg", "B1")
    draw(house, "B2", "8 kg")
    sentence = "Of lot H1, 12 kg is kept for B1, so 0 kg can be taken; 0.000001 kg was asked for."
    with refused(LotReserved, sentence, field="quantity"):
        draw(house, "B2", "0.000001 kg", hours=3)


def test_a_draw_for_what_it_is_kept_for_draws_it_down(house: Brewhouse):
    keep(house, "H1", "12 kg", "B1")
    draw(house, "B1", "5 kg")
    assert of_lot(house, "H1").reserved_micro == micro("7 kg")
    assert free(house) == micro("8 kg")
    draw(house, "B1", "9 kg")
    assert (of_lot(house, "H1").reserved_micro, free(house)) == (0, micro("6 kg"))


def test_a_draw_for_what_it_is_kept_for_leaves_what_is_kept_for_others(house: Brewhouse):
    keep(house, "H1", "12 kg", "B1")
    keep(house, "H1", "6 kg", "B2")
    with refused(LotReserved, "Of lot H1, 6 kg is kept for B2, so 14 kg can be taken; 15 kg was asked for."):
        draw(house, "B1", "15 kg")
    draw(house, "B1", "14 kg")


def test_what_comes_back_from_there_is_kept_again(house: Brewhouse):
    keep(house, "H1", "12 kg", "B1")
    draw(house, "B1", "12 kg")
    house.bring_back(house.brew("B1"), ("H1", "STORE", "2 kg"), hours=3)
    assert of_lot(house, "H1").reserved_micro == micro("2 kg")


def test_a_draw_that_is_reversed_never_counted(house: Brewhouse):
    keep(house, "H1", "12 kg", "B1")
    house.reverse(house.draw(house.brew("B1"), ("H1", "STORE", "5 kg"), hours=2))
    assert of_lot(house, "H1").reserved_micro == micro("12 kg")


def test_what_was_drawn_before_counts_for_nothing(house: Brewhouse):
    draw(house, "B1", "5 kg")
    keep(house, "H1", "12 kg", "B1")
    assert of_lot(house, "H1").reserved_micro == micro("12 kg")


def test_hops_that_are_kept_for_a_tank_are_added_to_it(house: Brewhouse):
    house.ferment(number=3)
    keep(house, "H2", "18 kg", "FV1")
    house.add("FV1", "D1", ("H2", "STORE", "5 kg"), hours=100)
    assert of_lot(house, "H2").reserved_micro == micro("13 kg")


def test_kegs_that_are_kept_for_a_customer_are_shipped_to_nobody_else(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    keep(brewhouse, "KEG1", "6 each", "customer:INN")
    with refused(
        LotReserved, "Of lot KEG1, 6 each is kept for customer:INN, so 1 each can be taken; 2 each was asked for."
    ):
        brewhouse.ship("MARKET", ("KEG1", "COLD", "2 each"), hours=400, note="S2")
    brewhouse.ship("INN", ("KEG1", "COLD", "4 each"), hours=400, note="S3")
    assert of_lot(brewhouse, "KEG1").reserved_micro == micro("2 each")


def test_it_may_be_moved_counted_sampled_and_destroyed_all_the_same(house: Brewhouse):
    keep(house, "H1", "20 kg", "B1")
    house.move("H1", "STORE", "COLD", "20 kg", hours=2)
    house.sample("H1", "COLD", "0.1 kg", hours=3)
    house.count("H1", "COLD", "19 kg", hours=4)
    house.destroy("H1", "COLD", "19 kg", hours=5)


def test_an_override_with_a_reason_takes_it_all_the_same(house: Brewhouse):
    keep(house, "H1", "20 kg", "B1")
    asked = {"work": house.brew("B2"), "parts": house.parts([("H1", "STORE", "1 kg")]), "happened_at": at(2)}
    with refused(NotAllowed, "brewing may not do this: it needs the right “override_refusals”."):
        draw_for(**asked, override_reason="B1 waits", **house.by("brewing"))
    draw_for(**asked, override_reason="B1 waits", **house.by("quality"))
    assert house.held("H1", "STORE") == micro("19 kg")


def test_what_is_let_go_is_free(house: Brewhouse):
    kept = keep(house, "H1", "20 kg", "B1")
    let_go(reservation=kept, **house.by("receiving"))
    assert free(house) == micro("20 kg")
    draw(house, "B2", "20 kg")


def test_nothing_is_let_go_twice(house: Brewhouse):
    kept = keep(house, "H1", "20 kg", "B1")
    with time_machine.travel("2026-12-01 09:30Z", tick=False):
        let_go(reservation=kept, **house.by("brewing"))
    with refused(LetGoAlready, "What was kept of lot H1 for B1 was let go on 2026-12-01 10:30."):
        let_go(reservation=kept, **house.by("brewing"))


def test_it_keeps_through_its_last_day_and_no_longer(house: Brewhouse):
    last = brewery_day() + timedelta(days=3)
    keep(house, "H1", "20 kg", "B1", until=last)
    assert of_lot(house, "H1", last).free_micro == 0
    assert of_lot(house, "H1", last + timedelta(days=1)).free_micro == micro("20 kg")


def test_a_day_that_is_over_is_refused(house: Brewhouse):
    with refused(InvalidInput, "until: '2020-01-01' is not valid. That day is over.", field="until"):
        keep(house, "H1", "1 kg", "B1", until=date(2020, 1, 1))


def test_no_more_is_kept_than_is_free(house: Brewhouse):
    keep(house, "H1", "12 kg", "B1")
    with refused(NotFree, "Of lot H1, 8 kg is free; 8.5 kg was asked for.", field="quantity"):
        keep(house, "H1", "8.5 kg", "B2")


def test_a_lot_is_kept_for_a_purpose_once(house: Brewhouse):
    keep(house, "H1", "12 kg", "B1")
    with refused(KeptAlready, "Of lot H1, 12 kg is kept for B1 already.", field="purpose"):
        keep(house, "H1", "1 kg", "B1")


def test_a_held_lot_is_not_kept_for_anything(house: Brewhouse):
    house.decide("H1", "on_hold", hours=1)
    with refused(LotNotReleased, "Lot H1 is on hold, so it cannot be used.", field="lot"):
        keep(house, "H1", "1 kg", "B1")


@pytest.mark.parametrize(("quantity_micro", "purpose", "field"), [(0, "B1", "quantity"), (1, "  ", "purpose")])
def test_a_quantity_and_a_purpose_are_needed(house: Brewhouse, quantity_micro: int, purpose: str, field: str):
    with pytest.raises(InvalidInput) as refusal:
        reserve(lot=house.lot("H1"), quantity_micro=quantity_micro, purpose=purpose, **house.by("brewing"))
    assert refusal.value.field == field


def test_a_reservation_that_is_asked_for_again_is_the_same(house: Brewhouse):
    who = house.by("brewing")
    assert keep(house, "H1", "12 kg", "B1", **who) == keep(house, "H1", "12 kg", "B1", **who)
    assert Reservation.objects.count() == 1


def test_a_silo_is_refilled_all_the_same(house: Brewhouse):
    keep(house, "M1", "1000 kg", "B1")
    house.deliver("PILS", "M2", "500 kg", "SILO1", hours=3, note="2", contents_code="MX1")
    assert of_lot(house, "M1").on_hand_micro == 0
    assert Lot.objects.get(code="MX1").made_micro == micro("1500 kg")
