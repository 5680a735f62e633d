"""The pages of pallets: made, loaded, moved by two scans, taken apart, shipped."""

from datetime import timedelta

import pytest
import time_machine
from django.test import Client

from brewery.kernel.models import Request
from inventory.models import LogisticUnit, UnitMove
from inventory.services.company import own_gln
from inventory.services.pallets import load_pallet, make_pallet
from tests.brewhouse import Brewhouse, at, micro
from tests.inventory.pages.reading import sent, text_of
from tests.standing import built_once

SUPPLIERS_SSCC = "376104250021234569"  # biip 5.2.0
NEXT = "095212340000000013"
PAGE = f"/pallets/{NEXT}/"


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.stock_up()
    return brewhouse


@pytest.fixture
def clerk(client: Client, house: Brewhouse) -> Client:
    client.force_login(house.people["receiving"])
    return client


@built_once
def unit(house: Brewhouse) -> LogisticUnit:
    """An empty pallet in the dry store."""
    return make_pallet(stands_in=house.place("STORE"), made_at=at(400), **house.by("receiving"))


def load(house: Brewhouse, unit: LogisticUnit, *lines: tuple[str, str, str]) -> None:
    load_pallet(unit=unit, parts=house.parts(lines), happened_at=at(401), **house.by("receiving"))


def errors_of(answer, form: str) -> dict[str, list[str]]:
    assert answer.status_code == 400
    return {name: list(map(str, faults)) for name, faults in answer.context[form].errors.items()}


def test_a_pallet_is_made_once_under_the_scanned_number_or_the_next_of_ours(clerk: Client):
    form = sent(sscc=f"]C100{SUPPLIERS_SSCC}", stands_in=f"]C1414{own_gln()}254COLD")
    first, again = clerk.post("/pallets/new/", form), clerk.post("/pallets/new/", form)
    assert (first.status_code, first["Location"]) == (303, f"/pallets/{SUPPLIERS_SSCC}/")
    assert again["Location"] == first["Location"]
    clerk.post("/pallets/new/", sent(stands_in="dry store"))
    assert [(unit.sscc, unit.stands_in.code) for unit in LogisticUnit.objects.order_by("pk")] == [
        (SUPPLIERS_SSCC, "COLD"),
        (NEXT, "STORE"),
    ]


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("sscc", "376104250021234568", "its check digit would be 9"),
        ("sscc", "hello", "is neither a GS1 barcode nor"),
        ("sscc", "FV1", "An SSCC has 18 digits"),
        ("stands_in", "FV1", "There is no store “FV1”"),
        ("stands_in", f"414{own_gln()}254FV9", "The label names location 'FV9'"),
        ("happened_at", "2199-01-01T00:00", "has not come yet"),
    ],
)
def test_what_is_wrong_with_a_new_pallet_stands_beside_its_field(clerk: Client, field: str, value: str, words: str):
    answer = clerk.post("/pallets/new/", sent(**{"stands_in": "STORE", field: value}))
    (fault,) = errors_of(answer, "form")[field]
    assert words in fault
    assert not LogisticUnit.objects.exists()


def test_a_pallet_shows_what_lies_on_it(clerk: Client, house: Brewhouse, unit: LogisticUnit):
    assert "Nothing lies on it." in text_of(clerk.get(PAGE))
    load(house, unit, ("H1", "STORE", "7.5 kg"))
    words = text_of(clerk.get(PAGE)).replace("\xa0", " ")
    assert "Pallet …000013" in words
    assert "H1 Saaz 7.5 kg" in words


def test_two_scans_move_a_pallet(clerk: Client, house: Brewhouse, unit: LogisticUnit):
    """The pallet's label on the scanner page, then the store's label in the field that has the focus."""
    shown = clerk.get("/scan/", {"text": f"]C100{unit.sscc}"})
    assert shown.context["move_form"].fields["to_location"].widget.attrs["autofocus"]
    form = sent(to_location=f"]C1414{own_gln()}254COLD")
    first, again = clerk.post(f"{PAGE}move/", form), clerk.post(f"{PAGE}move/", form)
    assert [(answer.status_code, answer["Location"]) for answer in (first, again)] == [(303, PAGE)] * 2
    assert UnitMove.objects.get().to_location == house.place("COLD")
    assert "It stands in Cold store now." in text_of(clerk.get(PAGE))


def test_a_moment_left_empty_is_now_and_a_second_sending_keeps_the_first(
    clerk: Client, house: Brewhouse, unit: LogisticUnit
):
    form = sent(to_location="COLD")
    with time_machine.travel(at(500), tick=False) as clock:
        clerk.post(f"{PAGE}move/", form)
        clock.shift(timedelta(minutes=5))
        assert clerk.post(f"{PAGE}move/", form).status_code == 303
    assert UnitMove.objects.get().happened_at == at(500)


@pytest.mark.parametrize("other", [SUPPLIERS_SSCC, f"]C100{NEXT}", "H1", f"]C1414{own_gln()}91H1"])
def test_a_scan_that_is_no_place_is_shown_instead_of_moving_anything(
    clerk: Client, house: Brewhouse, unit: LogisticUnit, other: str
):
    answer = clerk.post(f"{PAGE}move/", sent(to_location=other))
    assert answer.status_code == 303
    assert answer["Location"].startswith("/scan/?text=")
    assert not UnitMove.objects.exists()
    assert clerk.get(answer["Location"]).status_code == 200


@pytest.mark.parametrize(
    ("place", "words"),
    [
        ("STORE", "The pallet stands there already."),
        ("FV1", "There is no store “FV1”"),
        ("4149521234500002254X", "its check digit would be 1"),
        ("", "This field is required."),
    ],
)
def test_a_move_that_cannot_be_is_refused_beside_the_field(clerk: Client, unit: LogisticUnit, place: str, words: str):
    (fault,) = errors_of(clerk.post(f"{PAGE}move/", sent(to_location=place)), "move_form")["to_location"]
    assert words in fault


def test_a_lot_is_put_on_the_pallet_and_taken_off(clerk: Client, house: Brewhouse, unit: LogisticUnit):
    form = sent(lot=f"]C1414{own_gln()}91H1", quantity="7,5")
    assert [clerk.post(f"{PAGE}load/", form).status_code for _ in range(2)] == [303, 303]
    assert house.held("H1", NEXT) == micro("7.5 kg")
    assert clerk.post(f"{PAGE}load/", sent(lot="Y1", quantity="2", from_location="COLD")).status_code == 303
    some = sent(lot="H1", quantity="500 g", to_location="COLD")
    assert [clerk.post(f"{PAGE}unload/", some).status_code for _ in range(2)] == [303, 303]
    assert (house.held("H1", NEXT), house.held("H1", "COLD")) == (micro("7 kg"), micro("0.5 kg"))
    rest = sent()
    assert [clerk.post(f"{PAGE}unload/", rest).status_code for _ in range(2)] == [303, 303]
    assert (house.held("H1", NEXT), house.held("Y1", NEXT), house.held("Y1", "STORE")) == (0, 0, micro("2 kg"))
    assert Request.objects.filter(action__in=("load_pallet", "unload_pallet")).count() == 4


@pytest.mark.parametrize(
    ("fields", "field", "words"),
    [
        ({"lot": "NONE", "quantity": "1"}, "lot", "There is no lot “NONE”"),
        ({"lot": "H1", "quantity": "1 L"}, "quantity", "is not a quantity in kg"),
        ({"lot": "H1", "quantity": "500"}, "quantity", "Dry store holds"),
        ({"lot": "H1", "quantity": "1", "from_location": "FV1"}, "from_location", "There is no store or pallet “FV1”"),
        ({"lot": "H1", "quantity": "1", "from_location": NEXT}, "from_location", "It lies on this pallet already."),
        ({"lot": "H1"}, "quantity", "This field is required."),
        ({"lot": "H1", "quantity": "1", "happened_at": "2026-01-01T00:00"}, "happened_at", "was made or moved at"),
    ],
)
def test_what_cannot_be_put_on_it_is_refused_beside_the_field(
    clerk: Client, unit: LogisticUnit, fields: dict[str, str], field: str, words: str
):
    (fault,) = errors_of(clerk.post(f"{PAGE}load/", sent(**fields)), "load_form")[field]
    assert words in fault


@pytest.mark.parametrize(
    ("fields", "field", "words"),
    [
        ({"lot": "H1"}, "quantity", "or neither for all"),
        ({"quantity": "1"}, "lot", "or neither for all"),
        ({"lot": "H1", "quantity": "9"}, "quantity", "holds 7.5 kg of lot H1"),
    ],
)
def test_what_cannot_be_taken_off_is_refused_beside_the_field(
    clerk: Client, house: Brewhouse, unit: LogisticUnit, fields: dict[str, str], field: str, words: str
):
    load(house, unit, ("H1", "STORE", "7.5 kg"))
    (fault,) = errors_of(clerk.post(f"{PAGE}unload/", sent(**fields)), "unload_form")[field]
    assert words in fault


def test_a_pallet_is_shipped_in_one(clerk: Client, house: Brewhouse, unit: LogisticUnit):
    house.ferment()
    house.transfer("FV1", "BT1", "900 L", hours=300)
    run = house.start_run("R1", hours=310)
    house.draw(run, ("K1", "STORE", "10 each"), hours=310)
    house.package(run, "BT1", "KEG1", 10, hours=312)
    load(house, unit, ("KEG1", "COLD", "3 each"))
    assert "Ship it" in text_of(clerk.get(PAGE))
    assert "3 each Quillmere Lager, 50 L keg" in text_of(clerk.get(f"{PAGE}shipment/")).replace("\xa0", " ")
    form = sent(customer="The Heron Inn", note_number="S-9")
    assert clerk.post(f"{PAGE}shipment/", form)["Location"] == PAGE
    assert (house.held("KEG1", NEXT), house.held("KEG1", "customer:INN")) == (0, micro("3 each"))
    assert "It is shipped to The Heron Inn." in text_of(clerk.get(PAGE))
    (fault,) = errors_of(clerk.post(f"{PAGE}shipment/", sent(customer="INN", note_number="S-10")), "form")["__all__"]
    assert "has no lines" in fault


def test_a_pallet_that_never_was_is_not_there(clerk: Client):
    for address in (PAGE, f"{PAGE}label/", f"{PAGE}shipment/"):
        assert clerk.get(address).status_code == 404
    assert clerk.post(f"{PAGE}move/", sent(to_location="COLD")).status_code == 404


def test_the_list_shows_loaded_pallets_and_the_empty_ones_when_asked(
    clerk: Client, house: Brewhouse, unit: LogisticUnit
):
    assert "No pallet fits." in text_of(clerk.get("/pallets/"))
    assert NEXT in text_of(clerk.get("/pallets/?all=on"))
    load(house, unit, ("H1", "STORE", "7.5 kg"))
    assert "7.5 kg Saaz, H1" in text_of(clerk.get("/pallets/?store=STORE")).replace("\xa0", " ")
    assert NEXT not in text_of(clerk.get("/pallets/?store=COLD"))
    assert "There is no store" in text_of(clerk.get("/pallets/?store=FV1"))


def test_who_may_not_move_stock_sees_the_pallet_and_no_forms(client: Client, house: Brewhouse, unit: LogisticUnit):
    client.force_login(house.people["auditor"])
    words = text_of(client.get(PAGE))
    assert "Pallet …000013" in words
    assert "Move the pallet" not in words
    assert client.get("/scan/", {"text": NEXT}).context["move_form"] is None


def test_what_stands_on_pallets_is_on_the_first_page_and_on_the_stores(
    clerk: Client, house: Brewhouse, unit: LogisticUnit
):
    load(house, unit, ("H1", "STORE", "7.5 kg"))
    for address in ("/", f"/places/{house.place('STORE').pk}/"):
        assert "H1 on Pallet …000013 Saaz 7.5 kg" in text_of(clerk.get(address)).replace("\xa0", " ")
    assert "…000013" not in text_of(clerk.get(f"/places/{house.place('COLD').pk}/"))
