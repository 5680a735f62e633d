"""The figures of a lot lead to the postings that they are sums of."""

import re
from urllib.parse import quote

import pytest
from django.test import Client

from brewery.kernel.templatetags.shell import exact_quantity
from inventory.models import Balance
from tests.brewhouse import Brewhouse
from tests.signing import signed_in
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.whole_chain()
    return brewhouse


@pytest.fixture
def desk(house: Brewhouse) -> Client:
    return signed_in(house, "quality")


def test_each_place_on_a_lots_page_leads_to_postings_that_sum_to_what_is_there(desk, brewhouse: Brewhouse):
    lot = brewhouse.lot("KEG1")
    page = desk.get(f"/lots/{lot.pk}/").content.decode()
    for balance in Balance.objects.filter(lot=lot, location__code__in=("COLD", "customer:INN")).select_related(
        "location"
    ):
        way = f"/lots/KEG1/postings/?place={quote(balance.location.code)}"
        assert f'href="{way}"' in page
        there = desk.get(way).content.decode()
        facts = dict(re.findall(r"<dt>(.*?)</dt>\s*<dd>(.*?)</dd>", there))
        assert facts["Is there"] == exact_quantity(balance.quantity_micro, "each")


def test_each_line_of_the_mass_balance_leads_to_its_parts_and_these_to_their_postings(desk, brewhouse: Brewhouse):
    page = desk.get(f"/lots/{brewhouse.lot('M1').pk}/").content.decode()
    ways = re.findall(r'href="(/lots/M1/balance/\?where=at%20customers)"', page)
    assert ways
    parts = desk.get(ways[0]).content.decode()
    assert 'href="/lots/KEG1/postings/?place=customer%3AINN"' in parts
    assert 'href="/lots/KEG1/postings/?place=COLD"' not in parts


def test_all_postings_and_links_of_a_lot_lead_to_their_events(desk, brewhouse: Brewhouse):
    page = desk.get("/lots/KEG1/postings/").content.decode()
    event = brewhouse.lot("KEG1").made_by_id
    assert page.count(f'href="/events/{event}/"') >= 2
    assert 'id="links"' in page


@pytest.mark.parametrize(
    "address",
    [
        "/lots/NONE/postings/",
        "/lots/KEG1/postings/?place=NONE",
        "/lots/KEG1/postings/?as_of=soon",
        "/lots/KEG1/balance/?where=lent",
    ],
)
def test_what_is_not_there_is_not_found(desk, address: str):
    assert desk.get(address).status_code == 404
