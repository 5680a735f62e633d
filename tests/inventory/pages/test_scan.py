"""The scanner page: what a code is, and what can be done with it."""

import pytest
from django.test import Client

from inventory.services.company import own_gln
from inventory.services.pallets import load_pallet, make_pallet
from inventory.services.trade_items import add_trade_item
from tests.brewhouse import Brewhouse, at, micro
from tests.inventory.pages.reading import text_of
from tests.standing import built_once

GTIN = "09521234543213"
NEXT = "095212340000000013"
GS = "\x1d"


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """H1 is what the supplier calls lot SZ-25; a box of it bears the GTIN; 5 kg lie on a pallet."""
    brewhouse.deliver("SAAZ", "H1", "20 kg", supplier_lot="SZ-25", supplier="HOPYARD")
    add_trade_item(
        gtin=GTIN,
        material=brewhouse.material("SAAZ"),
        name="Saaz, box",
        content_micro=micro("5 kg"),
        **brewhouse.by("administration"),
    )
    unit = make_pallet(stands_in=brewhouse.place("STORE"), made_at=at(1), **brewhouse.by("receiving"))
    parts = brewhouse.parts([("H1", "STORE", "5 kg")])
    load_pallet(unit=unit, parts=parts, happened_at=at(2), **brewhouse.by("receiving"))
    return brewhouse


@pytest.fixture
def clerk(client: Client, house: Brewhouse) -> Client:
    client.force_login(house.people["receiving"])
    return client


def shown(client: Client, text: str) -> tuple[str, dict[str, str], list[str]]:
    """Return the heading, the facts by label, and the addresses that are offered."""
    answer = client.get("/scan/", {"text": text})
    assert answer.status_code == 200
    found = answer.context["shown"]
    facts = {fact.label: fact.text.replace("\xa0", " ") for fact in found.facts}
    return found.heading, facts, [action["href"] for action in found.actions]


def test_a_box_says_what_is_in_it_and_leads_to_our_lot(clerk: Client, house: Brewhouse):
    heading, facts, offered = shown(clerk, f"]C101{GTIN}10SZ-25{GS}152801313102002550302")
    assert heading == "Saaz, box"
    assert facts == {
        "Our lot": "H1",
        "Material": "Saaz",
        "GTIN": GTIN,
        "Lot on the label": "SZ-25",
        "Best before": "31 Jan 2028",
        "Net": "25.5 kg",
        "Count": "2",
        "In all": "25.5 kg",
    }
    assert offered == [f"/stock/materials/{house.material('SAAZ').pk}/", "/receiving/"]
    assert f'href="/lots/{house.lot("H1").pk}/"' in clerk.get("/scan/", {"text": f"01{GTIN}10SZ-25"}).content.decode()


def test_our_own_labels_lead_to_lot_place_and_pallet(clerk: Client, house: Brewhouse):
    lot, cold = house.lot("H1").pk, house.place("COLD").pk
    heading, facts, offered = shown(clerk, f"https://id.gs1.org/414/{own_gln()}?91=H1")
    assert (heading, facts) == ("Lot H1", {"Disposition": "released", "Material": "Saaz"})
    assert offered == [f"/lots/{lot}/", f"/lots/{lot}/label/"]
    heading, facts, offered = shown(clerk, f"]d2414{own_gln()}254COLD")
    assert (heading, facts) == ("Cold store", {"Code": "COLD", "Kind": "store"})
    assert offered == [f"/places/{cold}/", f"/places/{cold}/label/"]
    heading, facts, offered = shown(clerk, NEXT)
    assert heading == "Pallet …000013"
    assert facts == {"It stands in": "Dry store", "Lot H1": "5 kg Saaz", "SSCC": NEXT}
    assert offered == [f"/pallets/{NEXT}/", f"/pallets/{NEXT}/label/"]


def test_a_pallet_that_is_not_on_record_may_be_put_there(clerk: Client, house: Brewhouse):
    heading, facts, offered = shown(clerk, "]C100376104250021234569")
    assert (heading, facts) == ("A pallet that is not on record", {"SSCC": "376104250021234569"})
    assert offered == ["/pallets/new/?sscc=376104250021234569", "/receiving/"]
    assert 'value="376104250021234569"' in clerk.get(offered[0]).content.decode()
    clerk.force_login(house.people["accounting"])
    assert shown(clerk, "]C100376104250021234569")[2] == []


def test_an_unknown_gtin_is_entered_by_those_who_keep_the_registers(clerk: Client, house: Brewhouse):
    answer = clerk.get("/scan/", {"text": "6291041500213"})
    assert "GTIN 06291041500213 is not known here." in text_of(answer)
    assert answer.context["shown"].actions == []
    clerk.force_login(house.people["administration"])
    assert shown(clerk, "6291041500213")[2] == ["/trade-items/new/?gtin=06291041500213"]


def test_a_label_of_another_company_says_so(clerk: Client):
    assert shown(clerk, "4149521234500001254FV1") == ("A label of somebody else", {}, [])


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("0109521234543214", "GTIN 09521234543214 ends in 4; its check digit would be 3."),
        (f"01{GTIN}10{'A' * 21}", "takes at most 20 characters"),
        ("hello", "neither a GS1 barcode nor a code of this brewery"),
        ("", "This field is required."),
        ("A" * 4297, "at most 4296 characters"),
        ("\x00", "Null characters are not allowed."),
    ],
)
def test_what_cannot_be_trusted_is_told_beside_the_field_which_is_empty_for_the_next(
    clerk: Client, text: str, words: str
):
    answer = clerk.get("/scan/", {"text": text})
    assert words in text_of(answer)
    assert answer.context["shown"] is None
    assert "value=" not in str(answer.context["form"]["text"])


def test_a_place_outside_is_no_page(clerk: Client, house: Brewhouse):
    assert clerk.get(f"/places/{house.place('customer:INN').pk}/").status_code == 404
    page = text_of(clerk.get(f"/places/{house.place('FV1').pk}/")).replace("\xa0", " ")
    assert "Nothing lies here." in page
    assert "Holds 4000 L" in page


@pytest.mark.parametrize("text", [f"]C1414{own_gln()}254COLD", NEXT, "COLD", f"01{GTIN}10SZ-25"])
def test_a_scan_in_the_search_of_every_page_is_shown_as_well(clerk: Client, text: str):
    answer = clerk.get("/lots/", {"q": text})
    assert answer.status_code == 302
    assert clerk.get(answer["Location"]).context["shown"] is not None


def test_the_label_of_a_lot_in_the_search_leads_to_the_lot(clerk: Client, house: Brewhouse):
    answer = clerk.get("/lots/", {"q": f"]C1414{own_gln()}91H1"})
    assert (answer.status_code, answer["Location"]) == (302, f"/lots/{house.lot('H1').pk}/")
    assert clerk.get("/lots/", {"q": "H"}).status_code == 200
