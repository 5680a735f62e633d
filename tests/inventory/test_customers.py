"""Customers: whom to ring, dated and never overwritten, and how long beer must still keep."""

import pytest
from django.db import DatabaseError, transaction

from brewery.kernel.errors import InvalidInput
from inventory.models import MinimumLife, PartyContact
from inventory.queries.customers import asked_lives, current_contacts, held_by, minimum_days
from inventory.services.customers import (
    ContactReplaced,
    NoCustomer,
    ask_minimum_life,
    end_contact,
    tell_contact,
)
from inventory.services.refusals import ReasonMissing, WrongMaterial
from tests.brewhouse import Brewhouse
from tests.ledger import refused


def tell(house: Brewhouse, name: str = "Ada Fenn", party: str = "INN", **facts) -> PartyContact:
    asked = {"phone": "+44 20 7946 0001", **facts}
    return tell_contact(party=house.party(party), name=name, **asked, **house.by("quality"))


def names(house: Brewhouse) -> list[str]:
    return [one.name for one in current_contacts(house.party("INN"))]


def test_the_current_contacts_are_those_that_nobody_replaced_or_ended(brewhouse: Brewhouse):
    first = tell(brewhouse)
    night = tell(brewhouse, "Night desk", is_reachable_at_night=True, email="night@inn.example")
    later = tell(brewhouse, "Ben Moor", replaces=first)
    assert names(brewhouse) == ["Ben Moor", "Night desk"]
    end_contact(contact=night, reason="closed", **brewhouse.by("quality"))
    assert names(brewhouse) == ["Ben Moor"]
    assert PartyContact.objects.count() == 4
    assert later.replaces == first


def test_a_contact_is_replaced_once_and_by_its_own_party(brewhouse: Brewhouse):
    first = tell(brewhouse)
    tell(brewhouse, "Ben Moor", replaces=first)
    with refused(ContactReplaced, "Ada Fenn of The Heron Inn was replaced or ended already.", field="replaces"):
        tell(brewhouse, "Cleo Hurst", replaces=first)
    with pytest.raises(ContactReplaced):
        end_contact(contact=first, reason="gone", **brewhouse.by("quality"))
    with pytest.raises(InvalidInput, match="This is a contact of The Heron Inn"):
        tell(brewhouse, "Cleo Hurst", party="MARKET", replaces=first)


def test_a_contact_can_be_reached_and_ends_for_a_reason(brewhouse: Brewhouse):
    with pytest.raises(InvalidInput, match="Give a telephone number or an e-mail address"):
        tell(brewhouse, phone=" ")
    with pytest.raises(InvalidInput, match="Give the name"):
        tell(brewhouse, " ")
    with refused(ReasonMissing, "Ending a contact needs a reason.", field="reason"), transaction.atomic():
        end_contact(contact=PartyContact(party=brewhouse.party("INN")), reason=" ", **brewhouse.by("quality"))


def test_what_was_told_of_customers_is_never_changed_or_deleted(brewhouse: Brewhouse):
    tell(brewhouse)
    ask_minimum_life(party=brewhouse.party("INN"), days=30, **brewhouse.by("quality"))
    for rows in (PartyContact.objects.all(), MinimumLife.objects.all()):
        with pytest.raises(DatabaseError), transaction.atomic():
            rows.update(told_at="2020-01-01T00:00:00Z")
        with pytest.raises(DatabaseError), transaction.atomic():
            rows.delete()


def test_a_material_of_its_own_goes_before_all_that_is_bought_and_the_last_word_counts(brewhouse: Brewhouse):
    inn, by = brewhouse.party("INN"), brewhouse.by
    keg, bottle = brewhouse.material("KEG50"), brewhouse.material("BOTTLE500")
    assert minimum_days(inn, [keg]) == {keg.pk: None}
    ask_minimum_life(party=inn, days=30, **by("quality"))
    ask_minimum_life(party=inn, days=60, material=bottle, **by("quality"))
    assert minimum_days(inn, [keg, bottle]) == {keg.pk: 30, bottle.pk: 60}
    ask_minimum_life(party=inn, days=None, material=bottle, **by("quality"))
    assert minimum_days(inn, [keg, bottle]) == {keg.pk: 30, bottle.pk: 30}
    assert [(row.material, row.days) for row in asked_lives(inn)] == [(None, 30)]


def test_only_customers_ask_for_a_life_of_packaged_beer(brewhouse: Brewhouse):
    by = brewhouse.by("quality")
    with refused(NoCustomer, "Stowfield Maltings is a supplier; this needs a customer.", field="customer"):
        ask_minimum_life(party=brewhouse.party("MALTINGS"), days=30, **by)
    with refused(WrongMaterial, "Saaz is a hop; this needs packaged beer.", field="material"):
        ask_minimum_life(
            party=brewhouse.party("INN"), days=30, material=brewhouse.material("SAAZ"), **brewhouse.by("quality")
        )
    with pytest.raises(InvalidInput, match="Give 0 to 3652 days"):
        ask_minimum_life(party=brewhouse.party("INN"), days=4000, **brewhouse.by("quality"))


@pytest.mark.usefixtures("whole_chain")
def test_a_customer_holds_what_was_shipped_and_did_not_come_back(brewhouse: Brewhouse):
    assert [(row.lot.code, row.quantity_micro) for row in held_by(brewhouse.party("INN"))] == [("KEG1", 3_000_000)]
