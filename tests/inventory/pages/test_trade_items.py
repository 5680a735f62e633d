"""The pages of trade items: a GTIN is scanned and entered for a material."""

import pytest
from django.test import Client

from inventory.models import TradeItem
from tests.brewhouse import Brewhouse, micro
from tests.inventory.pages.reading import sent, text_of

GTIN = "6291041500213"  # GS1 Hong Kong's worked example
NEW = "/trade-items/new/"


@pytest.fixture
def keeper(client: Client, brewhouse: Brewhouse) -> Client:
    client.force_login(brewhouse.people["administration"])
    return client


@pytest.mark.parametrize("typed", [GTIN, f"]E0{GTIN}", "]C10106291041500213", "(01)06291041500213(10)L-1"])
def test_a_gtin_is_entered_once_however_it_was_scanned(keeper: Client, typed: str):
    form = sent(gtin=typed, material="saaz", name="Saaz T90, box", content="5")
    assert [keeper.post(NEW, form)["Location"] for _ in range(2)] == ["/trade-items/"] * 2
    item = TradeItem.objects.get()
    assert (item.gtin, item.material.code, item.content_micro) == ("06291041500213", "SAAZ", micro("5 kg"))
    assert "Saaz 06291041500213 Saaz T90, box 5 kg" in text_of(keeper.get("/trade-items/")).replace("\xa0", " ")


def test_what_one_holds_may_be_left_open(keeper: Client):
    keeper.post(NEW, sent(gtin=GTIN, material="SAAZ"))
    assert TradeItem.objects.get().content_micro is None


@pytest.mark.parametrize(
    ("wrong", "field", "words"),
    [
        ({"gtin": "6291041500214"}, "gtin", "its check digit would be 3"),
        ({"gtin": "hello"}, "gtin", "is no GTIN"),
        ({"gtin": "FV1"}, "gtin", "is no GTIN"),
        ({"material": "NOHOP"}, "material", "There is no material “NOHOP”"),
        ({"content": "5 L"}, "content", "is not a quantity in kg"),
        ({"content": "0"}, "content", "Give what one item holds, above zero."),
    ],
)
def test_what_is_wrong_stands_beside_its_field(keeper: Client, wrong: dict[str, str], field: str, words: str):
    answer = keeper.post(NEW, sent(**{"gtin": GTIN, "material": "SAAZ", **wrong}))
    assert answer.status_code == 400
    (fault,) = answer.context["form"].errors[field]
    assert words in fault
    assert not TradeItem.objects.exists()


def test_a_gtin_that_is_taken_says_by_what(keeper: Client):
    keeper.post(NEW, sent(gtin=GTIN, material="SAAZ"))
    answer = keeper.post(NEW, sent(gtin=GTIN, material="CASCADE"))
    assert "It stands for Saaz already." in text_of(answer)


def test_whoever_may_not_enter_one_is_offered_no_way_to(client: Client, brewhouse: Brewhouse):
    client.force_login(brewhouse.people["receiving"])
    page = text_of(client.get("/trade-items/"))
    assert "No trade item is entered yet" in page
    assert "Enter a trade item" not in page
