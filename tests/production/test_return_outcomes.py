"""Returns: what came back waits for a decision, and goes back in stock, is destroyed, or tipped into a tank."""

import pytest
from django.db import DatabaseError, transaction

from brewery.kernel.clock import now
from brewery.kernel.errors import InvalidInput
from brewery.production.models import CustomerReturn, ReturnOutcome
from brewery.production.queries.returned import lines_of, returns_in_full
from brewery.production.services.dispatch_refusals import MoreThanCameBack, MoreThanTheyHold
from brewery.production.services.return_outcomes import destroy_returned, restock_returned, rework_returned
from inventory.services.counts import count_stock
from inventory.services.refusals import OutputInUse, ReasonMissing, WrongMaterial, WrongPlace
from tests.brewhouse import Brewhouse, micro
from tests.ledger import links, postings, refused
from tests.production.dispatching import came_back, kegs, ordered, picked, proposed, shipped
from tests.standing import built_once
from traceability.queries.mass_balance import mass_balance


@built_once
def back(brewhouse: Brewhouse) -> CustomerReturn:
    """Ten kegs of KEG1 came back to the dry store; ten more lie in the cold store."""
    kegs(brewhouse, "KEG1", 20, keeps=100)
    order = ordered(brewhouse, 10)
    picked(brewhouse, order, "KEG1", 10)
    shipped(brewhouse, order)
    return came_back(brewhouse, "KEG1", 10)


def facts(house: Brewhouse, back: CustomerReturn, count: int, role: str, **more) -> dict:
    asked = {"customer_return": back, "lot": house.lot("KEG1"), "location": house.place("STORE"), "count": count}
    return {**asked, "reason": "looked at", "happened_at": now(), **house.by(role), **more}


def restock(house: Brewhouse, back: CustomerReturn, count: int, to: str = "COLD", **more) -> ReturnOutcome:
    return restock_returned(to_location=house.place(to), **facts(house, back, count, "receiving", **more))


def rework(house: Brewhouse, back: CustomerReturn, count: int, beer: str, tank: str = "BT1", **more) -> ReturnOutcome:
    asked = {"contents_code": "RW1", "material": house.material("LAGER"), **more}
    return rework_returned(
        vessel=house.place(tank), beer_micro=micro(beer), **facts(house, back, count, "brewing", **asked)
    )


def undecided(back: CustomerReturn) -> int:
    return sum(line.undecided for line in lines_of(returns_in_full().get(pk=back.pk)))


def test_what_came_back_is_proposed_to_nobody_until_it_is_back_in_stock(brewhouse: Brewhouse, back: CustomerReturn):
    order = ordered(brewhouse, 20, "O2")
    assert proposed(order) == [("KEG1", "COLD", 10)]
    outcome = restock(brewhouse, back, 4)
    assert postings(outcome.event) == {("KEG1", "STORE", "COLD", "4 each")}
    assert proposed(order) == [("KEG1", "COLD", 14)]
    assert undecided(back) == 6
    brewhouse.reverse(outcome.event)
    assert undecided(back) == 10


def test_no_more_is_decided_on_than_came_back(brewhouse: Brewhouse, back: CustomerReturn):
    restock(brewhouse, back, 9)
    sentence = "Of lot KEG1 in Dry store, 1 came back in this return and wait for a decision; 2 were given."
    with refused(MoreThanCameBack, sentence, field="count"):
        restock(brewhouse, back, 2)
    with refused(ReasonMissing, "What becomes of a return needs a reason.", field="reason"):
        restock(brewhouse, back, 1, reason=" ")
    with refused(WrongPlace, "Silo 2 is a silo; this needs a store.", field="to_location"):
        restock(brewhouse, back, 1, "SILO2")
    with pytest.raises(InvalidInput, match="Give 1 or more"):
        restock(brewhouse, back, 0)


def test_ullage_is_destroyed_with_the_beer_that_was_in_it(brewhouse: Brewhouse, back: CustomerReturn):
    asked = facts(brewhouse, back, 3, "quality")
    with refused(MoreThanTheyHold, "3 of Quillmere Lager, 50 L keg hold 150 L at most; 151 L was given.", field="beer"):
        destroy_returned(**asked, beer_micro=micro("151 L"))
    outcome = destroy_returned(**asked, beer_micro=micro("71.5 L"))
    assert postings(outcome.event) == {("KEG1", "STORE", "destroyed", "3 each")}
    assert (outcome.kind, outcome.beer_micro, undecided(back)) == ("destroy", micro("71.5 L"), 7)


def test_beer_that_is_tipped_into_an_empty_tank_is_a_new_lot_of_it(brewhouse: Brewhouse, back: CustomerReturn):
    outcome = rework(brewhouse, back, 4, "150 L")
    assert links(outcome.event) == {("KEG1", "RW1", "ingredient", "3 each")}
    assert postings(outcome.event) == {
        ("KEG1", "STORE", "transformed", "3 each"),
        ("KEG1", "STORE", "loss", "1 each"),
        ("RW1", "transformed", "BT1", "150 L"),
    }
    assert mass_balance(brewhouse.lot("KEG1")).difference_micro == 0
    assert undecided(back) == 6


def test_beer_that_is_tipped_on_other_beer_makes_new_contents_of_both(brewhouse: Brewhouse, back: CustomerReturn):
    brewhouse.stock_up()
    brewhouse.ferment()
    outcome = rework(brewhouse, back, 2, "100 L", "FV1", material=None)
    assert links(outcome.event) == {("KEG1", "RW1", "ingredient", "2 each"), ("T1", "RW1", "ingredient", "1000 L")}
    assert brewhouse.held("RW1", "FV1") == micro("1100 L")
    brewhouse.reverse(outcome.event)
    assert (brewhouse.held("T1", "FV1"), brewhouse.held("KEG1", "STORE")) == (micro("1000 L"), micro("10 each"))
    assert undecided(back) == 10


def test_a_rework_is_not_reversed_once_its_beer_went_on(brewhouse: Brewhouse, back: CustomerReturn):
    outcome = rework(brewhouse, back, 2, "100 L")
    count_stock(
        lot=brewhouse.lot("RW1"),
        location=brewhouse.place("BT1"),
        counted_micro=micro("99 L"),
        reason="gauged",
        happened_at=now(),
        **brewhouse.by("brewing"),
    )
    with pytest.raises(OutputInUse):
        brewhouse.reverse(outcome.event)


def test_an_empty_tank_takes_the_beer_that_is_named(brewhouse: Brewhouse, back: CustomerReturn):
    with pytest.raises(InvalidInput, match="The tank is empty: say which beer it is now"):
        rework(brewhouse, back, 2, "100 L", material=None)
    with refused(WrongMaterial, "Saaz is a hop; this needs beer or wort.", field="material"):
        rework(brewhouse, back, 2, "100 L", material=brewhouse.material("SAAZ"))
    with refused(WrongPlace, "Cold store is a store; this needs a fermenter or bright tank.", field="vessel"):
        rework(brewhouse, back, 2, "100 L", "COLD")


def test_a_return_that_is_reversed_waits_for_nothing(brewhouse: Brewhouse, back: CustomerReturn):
    brewhouse.reverse(back.event)
    assert list(returns_in_full()) == []


def test_what_became_of_a_return_is_never_changed(brewhouse: Brewhouse, back: CustomerReturn):
    restock(brewhouse, back, 1)
    for rows in (ReturnOutcome.objects.all(), CustomerReturn.objects.all()):
        with pytest.raises(DatabaseError), transaction.atomic():
            rows.update(event=1)
        with pytest.raises(DatabaseError), transaction.atomic():
            rows.delete()
