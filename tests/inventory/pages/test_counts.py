"""The pages of counts: blind while it is counted, told once it is handed in, booked with a reason."""

import re
import uuid
from typing import Any

import pytest
from django.test import Client

from inventory.models import CountLine, CountSheet
from tests.brewhouse import Brewhouse, micro
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """The store holds 21.123456 kg of H1 and 10 kg of H2."""
    brewhouse.deliver("SAAZ", "H1", "21.123456 kg")
    brewhouse.deliver("SAAZ", "H2", "10 kg", note="2")
    return brewhouse


@pytest.fixture
def clerk(client: Client, house: Brewhouse) -> Client:
    client.force_login(house.people["receiving"])
    return client


def post(client: Client, address: str, **sent: str) -> Any:
    return client.post(address, {"request_id": str(uuid.uuid4()), **sent})


@pytest.fixture
def count(clerk: Client) -> str:
    """The store is being counted; the address of its sheet."""
    answer = post(clerk, "/counts/", place="store", material="")
    assert (answer.status_code, answer["Location"]) == (303, f"/counts/{CountSheet.objects.get().pk}/")
    return str(answer["Location"])


def text_of(answer: Any) -> str:
    plain = re.sub("<[^>]+>", " ", answer.content.decode())
    return " ".join(plain.replace("\u202f", "").replace("\u00a0", " ").split())


def enter(client: Client, count: str, lot: str, quantity: str, **more: str) -> Any:
    return post(client, f"{count}entries/", lot=lot, quantity=quantity, **more)


def test_a_sheet_names_its_lots_and_not_how_much_of_them(clerk: Client, count: str):
    page = clerk.get(count).content.decode()
    assert "2 of 2 still to count" in page
    assert ">H1<" in page
    assert "21.123456" not in page.replace("\u202f", "")
    assert "Count of Dry store" in page


def test_a_quantity_is_entered_in_any_unit(clerk: Client, count: str):
    answer = enter(clerk, count, "h1", "21 500 g")
    assert (answer.status_code, answer["Location"]) == (303, count)
    line = CountLine.objects.get(lot__code="H1")
    assert (line.counted_micro, line.counted_by and line.counted_by.username) == (micro("21.5 kg"), "receiving")
    assert "1 of 2 still to count" in text_of(clerk.get(count))


def test_a_scanned_code_alone_asks_for_its_quantity(clerk: Client, count: str):
    answer = enter(clerk, count, "H1", "")
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "How much of Saaz is there" in page
    assert re.search(r'<input type="text" name="quantity"[^>]*autofocus', page)
    assert re.search(r'name="lot" value="H1"', page)
    assert CountLine.objects.get(lot__code="H1").counted_micro is None


def test_a_line_that_is_chosen_has_its_lot_in_the_form(clerk: Client, count: str):
    page = clerk.get(f"{count}?lot=H2&place=STORE").content.decode()
    assert re.search(r'name="lot" value="H2"', page)
    assert re.search(r'name="quantity"[^>]*autofocus', page)
    assert re.search(r'name="lot"[^>]*autofocus', clerk.get(count).content.decode())
    assert clerk.get(f"{count}?lot=%00").status_code == 200


@pytest.mark.parametrize(
    ("lot", "quantity", "words"),
    [
        ("H9", "1", "There is no lot “H9” on record."),
        ("H1", "much", "is not a quantity"),
        ("H1", "1 L", "is not a quantity in kg"),
        ("", "1", "This field is required."),
    ],
)
def test_what_cannot_be_entered_is_told_beside_its_field(
    clerk: Client, count: str, lot: str, quantity: str, words: str
):
    answer = enter(clerk, count, lot, quantity)
    assert answer.status_code == 400
    assert words in text_of(answer)
    assert not CountLine.objects.exclude(counted_micro=None).exists()


def test_what_has_no_lot_is_noted(clerk: Client, count: str):
    assert post(clerk, f"{count}finds/", marking="XX-9", words="an open box, some 3 kg").status_code == 303
    assert "XX-9 an open box, some 3 kg Dry store receiving" in text_of(clerk.get(count))
    wrong = post(clerk, f"{count}finds/", marking="", words="a box")
    assert (wrong.status_code, "This field is required." in text_of(wrong)) == (400, True)


def test_a_count_is_handed_in_once_all_is_counted(clerk: Client, count: str):
    answer = post(clerk, f"{count}handing-in/")
    assert answer.status_code == 400
    assert "2 lines are still to be counted: H1, H2." in text_of(answer)


def test_differences_are_told_booked_and_stay_on_record(clerk: Client, count: str, house: Brewhouse):
    enter(clerk, count, "H1", "21")
    enter(clerk, count, "H2", "9")
    assert post(clerk, f"{count}handing-in/").status_code == 303
    text = text_of(clerk.get(count))
    assert "H1 Saaz 21 kg 21.123456 kg -0.123456 kg receiving" in text
    assert "H2 Saaz 9 kg 10 kg -1 kg above the threshold receiving" in text
    refused = post(clerk, f"{count}booking/", reason="spilt")
    assert refused.status_code == 400
    assert "receiving may not do this: it needs the right “approve_counts”." in text_of(refused)
    clerk.force_login(house.people["accounting"])
    assert post(clerk, f"{count}booking/", reason="").status_code == 400
    assert post(clerk, f"{count}booking/", reason="spilt").status_code == 303
    text = text_of(clerk.get(count))
    assert "H1 Saaz 21 kg 21.123456 kg -0.123456 kg receiving" in text
    assert "Booked" in text
    assert house.held("H2", "STORE") == micro("9 kg")
    assert f"Count {CountSheet.objects.get().pk} Dry store booked" in text_of(clerk.get("/counts/"))


def test_a_count_is_counted_again_or_discarded(clerk: Client, count: str):
    enter(clerk, count, "H1", "21")
    enter(clerk, count, "H2", "10")
    post(clerk, f"{count}handing-in/")
    assert post(clerk, f"{count}recounting/").status_code == 303
    assert "1 of 2 still to count" in text_of(clerk.get(count))
    assert post(clerk, f"{count}discarding/").status_code == 303
    assert "This count was discarded" in text_of(clerk.get(count))
    late = enter(clerk, count, "H1", "21")
    assert (late.status_code, "is discarded; this needs one that is counting" in text_of(late)) == (400, True)


def test_a_material_is_counted_place_by_place(clerk: Client, house: Brewhouse):
    house.move("H1", "STORE", "COLD", "1 kg", hours=1)
    count = post(clerk, "/counts/", place="", material="saaz")["Location"]
    text = text_of(clerk.get(count))
    assert "Cold store H1 Saaz to count" in text
    assert enter(clerk, count, "H1", "1").status_code == 400
    assert enter(clerk, count, "H1", "1", place="cold").status_code == 303
    assert CountLine.objects.get(lot__code="H1", location__code="COLD").counted_micro == micro("1 kg")


@pytest.mark.parametrize(("place", "material"), [("", ""), ("STORE", "SAAZ"), ("LAB", "")])
def test_a_place_or_a_material_is_counted(clerk: Client, house: Brewhouse, place: str, material: str):
    assert post(clerk, "/counts/", place=place, material=material).status_code == 400
    assert not CountSheet.objects.exists()


def test_a_place_is_counted_once_at_a_time(clerk: Client, count: str):
    answer = post(clerk, "/counts/", place="STORE", material="")
    assert (answer.status_code, "is being counted since" in text_of(answer)) == (400, True)


def test_a_reader_sees_a_count_and_cannot_change_it(client: Client, clerk: Client, count: str, house: Brewhouse):
    client.force_login(house.people["auditor"])
    assert "Hand it in" not in client.get(count).content.decode()
    assert enter(client, count, "H1", "1").status_code == 403


def test_there_is_no_page_of_a_count_that_is_not_there(clerk: Client, house: Brewhouse):
    assert clerk.get("/counts/999/").status_code == 404


def test_the_page_asks_as_often_for_many_lines_as_for_few(
    clerk: Client, house: Brewhouse, count: str, django_assert_max_num_queries
):
    for number in range(12):
        house.deliver("SAAZ", f"L{number}", "5 kg", "COLD", note=f"L{number}")
    cold = post(clerk, "/counts/", place="cold", material="")["Location"]
    for address in (count, cold, "/counts/"):
        with django_assert_max_num_queries(9):
            assert clerk.get(address).status_code == 200
