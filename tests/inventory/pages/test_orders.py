"""The pages of orders: entered line by line, shown as they fall due, closed with a reason."""

import re
import uuid
from datetime import date
from typing import Any

import pytest
from django.test import Client

from inventory.models import PurchaseOrder


@pytest.fixture
def clerk(client: Client, brewhouse) -> Client:
    client.force_login(brewhouse.people["receiving"])
    return client


def sent(lines: list[tuple[str, str, str]], **head: str) -> dict[str, Any]:
    """Return what the form sends."""
    form = {
        "request_id": str(uuid.uuid4()),
        "number": "PO-1",
        "supplier": "hopyard",
        "ordered_on": "2026-02-20",
        "note": "",
        "lines-TOTAL_FORMS": str(len(lines)),
        "lines-INITIAL_FORMS": "0",
    }
    for index, (material, quantity, due_on) in enumerate(lines):
        form |= {
            f"lines-{index}-material": material,
            f"lines-{index}-quantity": quantity,
            f"lines-{index}-due_on": due_on,
            f"lines-{index}-supplier_reference": "",
        }
    return form | head


def text_of(answer: Any) -> str:
    return " ".join(re.sub("<[^>]+>", " ", answer.content.decode()).split())


def test_an_order_is_entered_once_however_often_it_is_sent(clerk):
    form = sent([("SAAZ", "20,5", "2026-03-02"), ("", "", ""), ("Cascade", "500 g", "2026-03-09")])
    first, again = clerk.post("/orders/new/", form), clerk.post("/orders/new/", form)
    order = PurchaseOrder.objects.get()
    assert (first.status_code, first["Location"]) == (303, f"/orders/{order.pk}/")
    assert again["Location"] == first["Location"]
    quantities = [line.quantity_micro for line in order.lines.all()]
    assert quantities == [20_500_000, 500_000]
    assert "20.5 kg" in text_of(clerk.get("/orders/")).replace("\xa0", " ")


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (("SAAZ", "", ""), "The line needs this"),
        (("", "5", "2026-03-02"), "The line needs this"),
        (("NOHOP", "5", "2026-03-02"), "There is no material “NOHOP”"),
        (("SAAZ", "1,250", "2026-03-02"), "1,250 may be 1.250 or 1250"),
        (("SAAZ", "5 L", "2026-03-02"), "is not a quantity in kg"),
        (("SAAZ", "five", "2026-03-02"), "is not a quantity"),
    ],
)
def test_what_is_wrong_with_a_line_stands_beside_it_and_nothing_is_entered(clerk, line, words):
    answer = clerk.post("/orders/new/", sent([line]))
    assert answer.status_code == 400
    assert words in text_of(answer).replace("&#x27;", "'")
    assert not PurchaseOrder.objects.exists()


def test_a_number_that_is_taken_is_told_beside_the_number(clerk):
    clerk.post("/orders/new/", sent([("SAAZ", "1", "2026-03-02")]))
    answer = clerk.post("/orders/new/", sent([("SAAZ", "1", "2026-03-02")]))
    assert answer.status_code == 400
    assert answer.context["form"].errors["number"]


def test_more_lines_keep_what_was_typed(clerk):
    answer = clerk.post("/orders/new/", sent([("SAAZ", "1", "")]) | {"more": "1"})
    assert answer.status_code == 200
    assert len(answer.context["lines"].forms) == 5
    assert 'value="SAAZ"' in answer.content.decode()


def test_an_order_is_closed_with_a_reason(clerk, brewhouse):
    clerk.post("/orders/new/", sent([("SAAZ", "1", "2026-03-02")]))
    order = PurchaseOrder.objects.get()
    page = f"/orders/{order.pk}/"
    assert clerk.post(page, {"request_id": str(uuid.uuid4()), "reason": ""}).status_code == 400
    assert clerk.post(page, {"request_id": str(uuid.uuid4()), "reason": "no crop"}).status_code == 303
    assert "no crop" in text_of(clerk.get(page))
    assert "Nothing is still to come" in text_of(clerk.get("/orders/"))
    clerk.force_login(brewhouse.people["brewing"])
    assert clerk.post(page, {"request_id": str(uuid.uuid4()), "reason": "x"}).status_code == 403


def test_a_day_stands_in_its_field_as_browsers_read_it(clerk):
    """A browser shows nothing for a day that is written in the way of a country (HTML standard, valid date string)."""
    page = clerk.get("/orders/new/").content.decode()
    field = re.search(r'<input type="date" name="ordered_on"[^>]*value="([^"]*)"', page)
    assert field is not None
    assert date.fromisoformat(field[1])
