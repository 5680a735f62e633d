"""The pages that print labels: chosen, looked at, handed out as PDF, the size remembered."""

import pytest
from django.test import Client

from inventory.models import Lot
from inventory.services.pallets import make_pallet
from tests.brewhouse import Brewhouse, at
from tests.inventory.dock import Dock
from tests.inventory.pages.reading import text_of
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.stock_up()
    return brewhouse


@pytest.fixture
def clerk(client: Client, house: Brewhouse) -> Client:
    client.force_login(house.people["receiving"])
    return client


@built_once
def addresses(house: Brewhouse) -> dict[str, str]:
    """The label pages of one lot, one pallet, one place."""
    unit = make_pallet(stands_in=house.place("STORE"), made_at=at(1), **house.by("receiving"))
    return {
        "lot": f"/lots/{house.lot('H1').pk}/label/",
        "pallet": f"/pallets/{unit.sscc}/label/",
        "place": f"/places/{house.place('FV1').pk}/label/",
    }


@pytest.mark.parametrize(("kind", "size"), [("lot", "100x70"), ("pallet", "100x150"), ("place", "100x70")])
def test_a_label_is_looked_at_and_printed(clerk: Client, addresses: dict[str, str], kind: str, size: str):
    page = clerk.get(addresses[kind])
    assert page.status_code == 200
    assert page.context["form"].initial == {"size": size, "copies": 1}
    assert 'src="data:image/png;base64,' in page.content.decode()
    printed = clerk.get(addresses[kind], {"size": size, "copies": "2", "print": "1"})
    assert (printed.status_code, printed["Content-Type"]) == (200, "application/pdf")
    assert printed["Content-Disposition"].startswith("inline; filename=")
    assert printed.content.startswith(b"%PDF-")


def test_the_size_that_was_printed_last_is_proposed_for_each_kind(clerk: Client, addresses: dict[str, str]):
    clerk.get(addresses["lot"], {"size": "a4-24", "copies": "1", "print": "1"})
    proposed = {kind: clerk.get(address).context["form"].initial["size"] for kind, address in addresses.items()}
    assert proposed == {"lot": "a4-24", "pallet": "100x150", "place": "100x70"}


def test_another_size_is_looked_at_before_it_is_printed(clerk: Client, addresses: dict[str, str]):
    page = clerk.get(addresses["lot"], {"size": "62x29", "copies": "3"})
    assert "62 × 29 mm" in text_of(page)
    assert page.context["size"].code == "62x29"


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({"size": "77x77", "copies": "1", "print": "1"}, "size"),
        ({"size": "62x29", "copies": "0", "print": "1"}, "copies"),
        ({"size": "62x29", "copies": "201", "print": "1"}, "copies"),
        ({"print": "1"}, "copies"),
    ],
)
def test_what_is_wrong_stands_beside_its_field(
    clerk: Client, addresses: dict[str, str], asked: dict[str, str], field: str
):
    page = clerk.get(addresses["lot"], asked)
    assert page.status_code == 400
    assert field in page.context["form"].errors


def test_what_has_no_label_says_why(clerk: Client, house: Brewhouse):
    house.reverse(house.deliver("SAAZ", "H9", "5 kg", note="9"))
    mistake = Lot.objects.get(code="H9").pk
    page = clerk.get(f"/lots/{mistake}/label/")
    assert page.status_code == 409
    assert "it was recorded by mistake" in text_of(page)
    assert "Print its label" not in text_of(clerk.get(f"/lots/{mistake}/"))
    assert "Print its label" in text_of(clerk.get(f"/lots/{house.lot('H1').pk}/"))


def test_the_label_of_what_never_was_is_not_there(clerk: Client, house: Brewhouse):
    for address in ("/lots/987654/label/", "/places/987654/label/", f"/places/{house.place('customer:INN').pk}/label/"):
        assert clerk.get(address).status_code == 404


def test_the_labels_of_a_whole_delivery_are_printed_once_it_is_booked(clerk: Client, house: Brewhouse):
    dock = Dock(house)
    draft = dock.open()
    for quantity in ("5 kg", "6 kg", "7 kg"):
        dock.add(draft, "SAAZ", quantity)
    address = f"/receiving/{draft.pk}/labels/"
    early = clerk.get(address)
    assert (early.status_code, "they are made when it is booked" in text_of(early)) == (409, True)
    dock.book(draft)
    page = clerk.get(address)
    assert (page.context["count"], "3 labels" in text_of(page)) == (3, True)
    assert f'href="{address}"' in clerk.get(f"/receiving/{draft.pk}/").content.decode()
    printed = clerk.get(address, {"size": "62x29", "copies": "1", "print": "1"})
    assert printed.content.count(b"/Type /Page\n") + printed.content.count(b"/Type/Page/") == 3
