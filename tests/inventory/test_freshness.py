"""What nears its end: by its date, its age, an open pack, and what customers ask for."""

from datetime import timedelta

import pytest
from django.test import Client

from brewery.kernel.clock import brewery_day, now
from inventory.models import Alert, Material
from inventory.queries.freshness import last_days_of, open_packs, wishes
from inventory.services.alerts import look
from inventory.services.customers import ask_minimum_life
from tests.brewhouse import START, Brewhouse, micro
from tests.inventory.pages.test_stock import text_of


def told(kind: str) -> list[str]:
    look(kind)
    return sorted(alert.words for alert in Alert.objects.open().filter(kind=kind))


def days_ago(days: float) -> float:
    """So long ago, in hours after the start of the tests."""
    return (now() - timedelta(days=days) - START) / timedelta(hours=1)


def test_a_date_that_is_over_or_near_is_told_and_one_that_is_not_is_not(brewhouse: Brewhouse):
    today = brewery_day()
    for code, days in (("H1", -1), ("H2", 30), ("H3", 31)):
        brewhouse.deliver("SAAZ", code, "20 kg", note=code, best_before=today + timedelta(days=days))
    over, near = told("best_before")
    assert over.startswith("Lot H1 of Saaz was best before")
    assert near.startswith("Lot H2 of Saaz is best before")
    assert [one.severity for one in Alert.objects.open().order_by("lot__code")] == [2, 1]
    brewhouse.destroy("H1", "STORE", "20 kg", hours=days_ago(0.01))
    assert len(told("best_before")) == 1


def test_a_material_may_be_told_of_sooner_or_later_than_usual(brewhouse: Brewhouse):
    today = brewery_day()
    for material, code, days in (("SAAZ", "H1", 90), ("SAAZ", "H2", 91), ("YEAST", "Y1", 4), ("YEAST", "Y2", 5)):
        brewhouse.deliver(material, code, "20 kg", "COLD", note=code, best_before=today + timedelta(days=days))
    Material.objects.filter(code="SAAZ").update(told_days_before=90)
    Material.objects.filter(code="YEAST").update(told_days_before=4)
    assert [words.split()[1] for words in told("best_before")] == ["H1", "Y1"]


def test_a_pack_may_be_open_for_as_long_as_its_material_says(brewhouse: Brewhouse):
    """Salts usually may for ever, hops for two weeks."""
    for material, code in (("SAAZ", "H1"), ("GYPSUM", "G1")):
        brewhouse.deliver(material, code, "20 kg", hours=days_ago(60), note=code, package_micro=micro("5 kg"))
        brewhouse.destroy(code, "STORE", "2 kg", hours=days_ago(20))
    assert [words.split()[4] for words in told("pack_open")] == ["H1"]
    Material.objects.filter(code="SAAZ").update(open_days=20)
    Material.objects.filter(code="GYPSUM").update(open_days=10)
    assert [words.split()[4] for words in told("pack_open")] == ["G1"]


@pytest.mark.parametrize(
    ("name", "days", "is_old"),
    [
        ("Pilsner malt", 360, False),
        ("Pilsner malt", 370, True),
        ("Pilsner malt, milled", 190, True),
        ("Caramel malt 60", 100, True),
        ("Roasted malt", 500, False),
    ],
)
def test_malt_keeps_as_long_as_its_kind_does(brewhouse: Brewhouse, name: str, days: int, is_old: bool):
    """12 months whole, 6 milled, 18 roasted: brewingwithbriess.com; 3 caramel: probrewer.com."""
    Material.objects.filter(code="PILS").update(name=name)
    brewhouse.deliver("PILS", "M1", "100 kg", hours=days_ago(days))
    assert bool(told("malt_old")) == is_old


def test_a_pack_is_open_from_the_withdrawal_that_opened_it(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg", hours=days_ago(60), package_micro=micro("5 kg"))
    assert open_packs() == []
    brewhouse.move("H1", "STORE", "COLD", "5 kg", hours=days_ago(40))
    assert open_packs() == []
    brewhouse.destroy("H1", "STORE", "2 kg", hours=days_ago(20))
    (found,) = open_packs()
    assert (found.balance.location.code, found.rest_micro) == ("STORE", micro("3 kg"))
    assert (now() - found.since).days == 20
    (words,) = told("pack_open")
    assert "has been open for 20 days, with 3 kg in it" in words
    brewhouse.destroy("H1", "STORE", "1 kg", hours=days_ago(5))
    (found,) = open_packs()
    assert ((now() - found.since).days, found.rest_micro) == (20, micro("2 kg")), "the pack is the same"
    brewhouse.destroy("H1", "STORE", "4 kg", hours=days_ago(3))
    (found,) = open_packs()
    assert ((now() - found.since).days, found.rest_micro) == (3, micro("3 kg")), "the next pack was opened"
    assert told("pack_open") == []
    brewhouse.destroy("H1", "STORE", "3 kg", hours=days_ago(1))
    assert open_packs() == []


def ask(house: Brewhouse, party: str, days: int | None, material: str | None = None) -> None:
    asked = {"party": house.party(party), "material": house.material(material) if material else None, "days": days}
    ask_minimum_life(**asked, **house.by("administration"))


def test_beer_is_told_once_no_customer_takes_it_any_more(brewhouse: Brewhouse):
    today = brewery_day()
    brewhouse.deliver("KEG50", "K1", "20 each", "COLD", best_before=today + timedelta(days=20))
    ask(brewhouse, "INN", 30)
    ask(brewhouse, "MARKET", 10)
    ask(brewhouse, "MARKET", 5, "KEG50")
    lot = brewhouse.lot("K1")
    found = last_days_of([lot], wishes())[lot.pk]
    assert [(wish.party.code, last - today) for wish, last in found] == [
        ("MARKET", timedelta(days=15)),
        ("INN", timedelta(days=-10)),
    ]
    assert told("too_old_to_sell") == []
    ask(brewhouse, "MARKET", 21, "KEG50")
    (words,) = told("too_old_to_sell")
    assert "keeps too short for Ferry Street Market, The Heron Inn" in words
    ask(brewhouse, "MARKET", None, "KEG50")
    assert told("too_old_to_sell") == []


def test_the_page_of_a_lot_says_for_whom_it_keeps(client: Client, brewhouse: Brewhouse):
    brewhouse.deliver("KEG50", "K1", "20 each", "COLD", best_before=brewery_day() + timedelta(days=20))
    ask(brewhouse, "INN", 30)
    client.force_login(brewhouse.people["auditor"])
    text = text_of(client.get(f"/keeping/lots/{brewhouse.lot('K1').pk}/"))
    assert "The Heron Inn 30" in text
    assert "over" in text
