"""Returns to suppliers: what was rejected goes back, stays on record, and is reversed like everything else."""

from typing import Any

import pytest

from inventory.models import Event
from inventory.services.refusals import InTheFuture, NotEnoughThere, ReasonMissing, WrongPlace
from inventory.services.send_backs import NoSupplierToGoBackTo, NotRejected, send_back
from tests.brewhouse import Brewhouse, at, micro
from tests.ledger import links, postings, refused
from tests.standing import built_once
from traceability.queries.mass_balance import Whereabouts, mass_balance


@built_once
def hops(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.deliver("SAAZ", "H1", "20 kg", supplier="HOPYARD")
    brewhouse.decide("H1", "rejected", hours=1, reason="mould")
    return brewhouse


def back(house: Brewhouse, lot: str, quantity: str, place: str = "STORE", *, hours: float = 2, **more: Any) -> Event:
    facts = {"reason": "mould", "reference": "R-1", **more}
    return send_back(
        lot=house.lot(lot),
        location=house.place(place),
        quantity_micro=micro(quantity),
        happened_at=at(hours),
        **facts,
        **house.by("receiving"),
    )


def test_what_is_rejected_goes_back_and_stays_on_record(hops: Brewhouse):
    event = back(hops, "H1", "20 kg")
    assert (event.kind, event.reason, event.reference) == (Event.Kind.SEND_BACK, "mould", "R-1")
    assert postings(event) == {("H1", "STORE", "sent_back", "20 kg")}
    assert links(event) == set()
    assert (hops.held("H1", "STORE"), hops.held("H1", "sent_back")) == (0, micro("20 kg"))
    balance = mass_balance(hops.lot("H1"))
    assert balance.closes
    assert balance.by_whereabouts[Whereabouts.SENT_BACK] == micro("20 kg")


def test_a_part_goes_back_and_the_rest_is_destroyed(hops: Brewhouse):
    back(hops, "H1", "15 kg")
    hops.destroy("H1", "STORE", "5 kg", hours=3)
    assert (hops.held("H1", "STORE"), hops.held("H1", "destroyed")) == (0, micro("5 kg"))
    assert mass_balance(hops.lot("H1")).closes


def test_a_return_is_reversed_by_an_event_that_names_it(hops: Brewhouse):
    hops.reverse(back(hops, "H1", "20 kg"))
    assert (hops.held("H1", "STORE"), hops.held("H1", "sent_back")) == (micro("20 kg"), 0)
    hops.reverse(hops.destroy("H1", "STORE", "5 kg", hours=3))
    assert hops.held("H1", "STORE") == micro("20 kg")
    assert hops.lot("H1").disposition == "rejected"


@pytest.mark.parametrize("disposition", ["released", "quarantined", "on_hold"])
def test_only_what_is_rejected_goes_back(hops: Brewhouse, disposition: str):
    hops.decide("H1", disposition, hours=1.5)
    words = disposition.replace("_", " ")
    sentence = f"Lot H1 is {words}; only what is rejected goes back to its supplier."
    with refused(NotRejected, sentence, field="lot"):
        back(hops, "H1", "1 kg")


def test_what_was_made_here_goes_back_to_nobody(brewhouse: Brewhouse):
    brewhouse.stock_up()
    brewhouse.ferment()
    brewhouse.harvest("FV1", "20 L", "Y2", "22 kg", hours=150)
    brewhouse.decide("Y2", "rejected", hours=151)
    with refused(NoSupplierToGoBackTo, "Lot Y2 was not delivered by a supplier: it was made here.", field="lot"):
        back(brewhouse, "Y2", "1 kg", "BRINK1", hours=152)


def test_a_return_without_a_reason_is_refused(hops: Brewhouse):
    with refused(ReasonMissing, "A return to a supplier needs a reason.", field="reason"):
        back(hops, "H1", "1 kg", reason="")


def test_more_than_is_there_does_not_go_back(hops: Brewhouse):
    with refused(NotEnoughThere, "Dry store holds 20 kg of lot H1; 21 kg was asked for.", field="quantity"):
        back(hops, "H1", "21 kg")


def test_nothing_goes_back_from_outside_the_stock_or_before_it_happened(hops: Brewhouse):
    sentence = "Laboratory is a laboratory; this needs a store, silo, brink or pallet."
    with refused(WrongPlace, sentence, field="location"):
        back(hops, "H1", "1 kg", "LAB")
    with refused(InTheFuture, "2126-02-06 09:00 has not come yet.", field="happened_at"):
        back(hops, "H1", "1 kg", hours=24 * 36500)
