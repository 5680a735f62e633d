"""What is done with a lot from its stock page: moved, reserved and let go, sampled, destroyed."""

import re
import uuid
from typing import Any

import pytest
from django.test import Client

from brewery.kernel.models import User
from inventory.models import Event, Reservation
from tests.brewhouse import Brewhouse, micro
from tests.inventory.stockroom import keep
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """20 kg of H1 lie in the store."""
    brewhouse.deliver("SAAZ", "H1", "20 kg")
    return brewhouse


@built_once
def stock(house: Brewhouse) -> str:
    """The address of the lot's stock page."""
    return f"/stock/lots/{house.lot('H1').pk}/"


def signed_in(client: Client, house: Brewhouse, role: str) -> Client:
    client.force_login(house.people[role])
    return client


def send(client: Client, address: str, **sent: str) -> Any:
    return client.post(address, {"request_id": str(uuid.uuid4()), **sent})


def text_of(answer: Any) -> str:
    plain = re.sub("<[^>]+>", " ", answer.content.decode())
    return " ".join(plain.replace("\u202f", "").replace("\u00a0", " ").split())


@pytest.mark.parametrize(
    ("role", "offered"),
    [
        ("receiving", ["Move", "Reserve"]),
        ("brewing", ["Move", "Reserve", "Take a sample"]),
        ("quality", ["Take a sample", "Destroy"]),
        ("auditor", []),
    ],
)
def test_everybody_is_offered_what_they_may_do(
    client: Client, house: Brewhouse, stock: str, role: str, offered: list[str]
):
    page = signed_in(client, house, role).get(stock).content.decode()
    assert re.findall(r'class="action" href="/stock/lots/\d+/\w+/">([^<]+)<', page) == offered


def test_a_lot_is_moved_once_however_often_the_form_is_sent(client: Client, house: Brewhouse, stock: str):
    signed_in(client, house, "receiving")
    page = client.get(f"{stock}move/").content.decode()
    assert '<option value="STORE" selected>Dry store</option>' in page
    form = {"request_id": str(uuid.uuid4()), "location": "STORE", "to": "cold", "quantity": "5 000 g"}
    first, again = (client.post(f"{stock}move/", form) for _ in range(2))
    assert (first.status_code, first["Location"]) == (303, stock)
    assert (again.status_code, again["Location"]) == (303, stock)
    assert (house.held("H1", "COLD"), house.held("H1", "STORE")) == (micro("5 kg"), micro("15 kg"))
    assert "5 kg of H1: moved." in text_of(client.get(stock))


def test_a_move_can_be_told_late(client: Client, house: Brewhouse, stock: str):
    form = {"location": "STORE", "to": "COLD", "quantity": "1", "at": "2026-03-05T10:30"}
    assert send(signed_in(client, house, "brewing"), f"{stock}move/", **form).status_code == 303
    assert Event.objects.get(kind=Event.Kind.MOVE).happened_at.isoformat() == "2026-03-05T09:30:00+00:00"


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"quantity": "21"}, "Dry store holds 20 kg of lot H1; 21 kg was asked for."),
        ({"quantity": "some"}, "is not a quantity"),
        ({"quantity": ""}, "This field is required."),
        ({"to": "MARS"}, "There is no place “MARS”"),
        ({"to": "STORE"}, "Choose another place than the first."),
        ({"location": "COLD"}, "Select a valid choice."),
    ],
)
def test_a_move_that_cannot_be_is_told_beside_its_field(
    client: Client, house: Brewhouse, stock: str, changed: dict[str, str], words: str
):
    form = {"location": "STORE", "to": "COLD", "quantity": "1", **changed}
    answer = send(signed_in(client, house, "receiving"), f"{stock}move/", **form)
    assert (answer.status_code, words in text_of(answer)) == (400, True)
    assert not Event.objects.filter(kind=Event.Kind.MOVE).exists()


def test_a_quantity_is_reserved_and_let_go(client: Client, house: Brewhouse, stock: str):
    signed_in(client, house, "brewing")
    assert send(client, f"{stock}reserve/", quantity="7.5", purpose="B1").status_code == 303
    page = client.get(stock)
    assert "B1 7.5 kg 0 kg" in text_of(page)
    assert "Free 12.5 kg" in text_of(page)
    more = send(client, f"{stock}reserve/", quantity="13", purpose="B2")
    assert (more.status_code, "Of lot H1, 12.5 kg is free; 13 kg was asked for." in text_of(more)) == (400, True)
    kept = Reservation.objects.get()
    assert send(client, f"/stock/reservations/{kept.pk}/letting-go/").status_code == 303
    assert "Free 20 kg" in text_of(client.get(stock))
    again = send(client, f"/stock/reservations/{kept.pk}/letting-go/")
    assert (again.status_code, "was let go on" in text_of(again)) == (400, True)
    assert send(client, "/stock/reservations/999/letting-go/").status_code == 404


def test_a_sample_is_taken(client: Client, house: Brewhouse, stock: str):
    form = {"location": "STORE", "laboratory": "LAB", "quantity": "100 g"}
    assert send(signed_in(client, house, "quality"), f"{stock}sample/", **form).status_code == 303
    assert house.held("H1", "LAB") == micro("0.1 kg")


def test_a_quantity_is_destroyed_with_a_reason(client: Client, house: Brewhouse, stock: str):
    signed_in(client, house, "quality")
    assert send(client, f"{stock}destroy/", location="STORE", quantity="1", reason="").status_code == 400
    assert send(client, f"{stock}destroy/", location="STORE", quantity="1", reason="mouldy").status_code == 303
    assert house.held("H1", "STORE") == micro("19 kg")
    assert Event.objects.get(kind=Event.Kind.DESTROY).reason == "mouldy"


def test_there_is_nothing_to_do_with_a_lot_that_is_not_there(client: Client, house: Brewhouse):
    User.objects.filter(username="quality").update(is_superuser=True)
    signed_in(client, house, "quality")
    for address in ("", "move/", "reserve/", "sample/", "destroy/"):
        assert client.get(f"/stock/lots/99999/{address}").status_code == 404


def test_a_lot_of_which_nothing_is_left_says_so(client: Client, house: Brewhouse, stock: str):
    house.destroy("H1", "STORE", "20 kg", hours=1)
    assert "Nothing of it is on hand." in text_of(signed_in(client, house, "auditor").get(stock))


def test_the_page_asks_as_often_for_many_reservations_as_for_one(
    client: Client, house: Brewhouse, stock: str, django_assert_max_num_queries
):
    signed_in(client, house, "brewing")
    for number in range(6):
        keep(house, "H1", "1 kg", f"B{number}")
        with django_assert_max_num_queries(7):
            assert client.get(stock).status_code == 200
