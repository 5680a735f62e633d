"""The receiving page, as its script and a browser without scripts use it."""

import re
import uuid
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from brewery.kernel.pages.navigation import entries_of
from inventory.models import Delivery, DeliveryChange, Lot
from inventory.services.orders import OrderedLine, enter_order
from inventory.services.trade_items import add_trade_item
from tests.brewhouse import START, Brewhouse, micro
from tests.inventory.dock import Dock
from tests.inventory.papers import JPEG, PDF
from tests.standing import built_once

GTIN = "09521234543213"
BOX = f"]C101{GTIN}17280131310300520010SZ-25"
PIECES = {"HTTP_X_PIECES": "1"}


@pytest.fixture
def clerk(client: Client, brewhouse: Brewhouse) -> Client:
    add_trade_item(gtin=GTIN, material=brewhouse.material("SAAZ"), **brewhouse.by("administration"))
    client.force_login(brewhouse.people["receiving"])
    return client


@built_once
def dock(brewhouse: Brewhouse) -> Dock:
    return Dock(brewhouse)


def send(client: Client, draft: Delivery, what: str, fields: dict[str, Any], **more: Any) -> Any:
    """Send what the page's script sends, as of the draft's version."""
    asked = {"request_id": str(uuid.uuid4()), "version": str(Delivery.objects.get(pk=draft.pk).version)}
    return client.post(f"/receiving/{draft.pk}/{what}", {**asked, **fields}, **more)


def text_of(answer: Any) -> str:
    plain = " ".join(re.sub("<[^>]+>", " ", answer.content.decode()).split())
    for sign, meant in (("&#x27;", "'"), ("&quot;", '"'), ("\xa0", " ")):
        plain = plain.replace(sign, meant)
    return plain


def beside(answer: Any, field: str) -> str:
    """Return what the page says beside a field: its hints and its faults."""
    page = answer.content.decode()
    said = re.findall(rf'id="{field}_(?:helptext|error)">(.*?)</(?:div|ul)>', page, re.DOTALL)
    return " ".join(re.sub("<[^>]+>", " ", " ".join(said)).split()).replace("\xa0", " ")


def test_a_delivery_begins_with_its_head_once_however_often_it_is_sent(clerk):
    assert "No delivery waits" in text_of(clerk.get("/receiving/"))
    form = {
        "request_id": str(uuid.uuid4()),
        "supplier": "hopyard",
        "arrived_at": "2026-03-02T09:30",
        "temperature": "4,5",
        "condition": "sound",
    }
    first, again = clerk.post("/receiving/new/", form), clerk.post("/receiving/new/", form)
    draft = Delivery.objects.get()
    assert (first.status_code, first["Location"], again["Location"]) == (
        303,
        f"/receiving/{draft.pk}/",
        first["Location"],
    )
    assert draft.arrived_at.isoformat() == "2026-03-02T08:30:00+00:00"
    assert draft.temperature_milli_c == 4500
    assert "Larkham Hop Yard" in text_of(clerk.get("/receiving/"))


def test_a_customer_does_not_deliver(clerk):
    form = {"request_id": str(uuid.uuid4()), "supplier": "INN", "arrived_at": "2026-03-02T09:30"}
    answer = clerk.post("/receiving/new/", form)
    assert answer.status_code == 400
    assert "There is no supplier “INN”" in text_of(answer)


def test_a_scan_is_a_line_and_its_answer_holds_the_pieces_of_the_page(clerk, dock):
    draft = dock.open()
    answer = send(clerk, draft, "scans/", {"text": BOX}, **PIECES)
    assert answer.status_code == 200
    assert "<html" not in answer.content.decode()
    assert "Line 1: Saaz , 5.2 kg, supplier’s lot SZ-25" in text_of(answer)
    line = draft.lines.get()
    assert f'id="line-{line.pk}-quantity"' in answer.content.decode()
    assert beside(answer, f"line-{line.pk}-location") == "Still to be given."


def test_a_separator_within_a_scan_reaches_the_service(clerk, dock):
    draft = dock.open()
    send(clerk, draft, "scans/", {"text": f"01{GTIN}10SZ-25\x1d3103005200"}, **PIECES)
    assert draft.lines.get().supplier_lot == "SZ-25"


def test_a_refused_scan_is_told_and_changes_nothing(clerk, dock):
    draft = dock.open()
    answer = send(clerk, draft, "scans/", {"text": f"01{GTIN[:-1]}4"}, **PIECES)
    assert answer.status_code == 400
    assert "its check digit would be 3" in text_of(answer)
    assert "data-refused" in answer.content.decode()
    assert not draft.lines.exists()


def test_without_a_script_the_same_forms_lead_back_to_the_page(clerk, dock):
    draft = dock.open()
    answer = send(clerk, draft, "scans/", {"text": BOX})
    assert (answer.status_code, answer["Location"]) == (303, f"/receiving/{draft.pk}/")
    line = draft.lines.get()
    whole = {"quantity": "5.1", "location": "COLD", "supplier_lot": "SZ-25", "best_before": "2028-01-31"}
    assert send(clerk, draft, f"lines/{line.pk}/", whole).status_code == 303
    line.refresh_from_db()
    assert (line.quantity_micro, line.location.code, line.quantity_typed) == (micro("5.1 kg"), "COLD", "5.1")
    last = DeliveryChange.objects.filter(delivery=draft).latest("version")
    assert [name.partition(".")[2] for name in last.touched] == ["quantity_micro", "quantity_typed", "location"]


def test_a_change_to_what_is_there_already_makes_no_version(clerk, dock):
    draft = dock.open()
    line = dock.add(draft, "SAAZ", "5 kg")
    answers = [
        send(clerk, draft, f"lines/{line.pk}/", {"quantity": "5 kg", "order_line": ""}, **PIECES),
        send(
            clerk,
            draft,
            "head/",
            {"note_number": "LS-1", "temperature": "", "arrived_at": "2026-03-02T09:00"},
            **PIECES,
        ),
    ]
    assert [answer.status_code for answer in answers] == [200, 200]
    assert dock.version(draft) == draft.version


@pytest.mark.parametrize(
    ("field", "typed", "words"),
    [
        ("quantity", "5 L", "not a quantity in kg"),
        ("quantity", "0", "more than 0"),
        ("location", "NOWHERE", "There is no place “NOWHERE”"),
        ("material", "", "remove the line"),
        ("best_before", "31.2.2028", "Enter a valid date"),
        ("package_count", "-1", "greater than or equal to 1"),
    ],
)
def test_what_cannot_be_is_refused_in_words_and_the_line_stays(clerk, dock, field, typed, words):
    draft = dock.open()
    line = dock.add(draft, "SAAZ", "5 kg")
    answer = send(clerk, draft, f"lines/{line.pk}/", {field: typed}, **PIECES)
    assert answer.status_code == 400
    assert words in text_of(answer)
    line.refresh_from_db()
    assert line.quantity_micro == micro("5 kg")


def test_what_somebody_else_changed_since_is_told_and_not_overwritten(clerk, dock, brewhouse):
    draft = dock.open()
    line = dock.add(draft, "SAAZ", "5 kg")
    seen = draft.version
    Dock(brewhouse, "quality").change(line, quantity_micro=micro("6 kg"))
    answer = send(clerk, draft, f"lines/{line.pk}/", {"quantity": "4", "version": str(seen)}, **PIECES)
    assert answer.status_code == 412
    assert "line 1: weight is now 6" in text_of(answer)
    assert 'value="6 kg"' in answer.content.decode()


def test_a_line_that_is_gone_is_told(clerk, dock):
    draft = dock.open()
    line = dock.add(draft, "SAAZ", "5 kg")
    assert send(clerk, draft, f"lines/{line.pk}/removal/", {}).status_code == 303
    answer = send(clerk, draft, f"lines/{line.pk}/", {"quantity": "4"}, **PIECES)
    assert answer.status_code == 404
    assert "no such line" in text_of(answer)


def test_a_line_without_a_barcode_is_added_by_its_material(clerk, dock):
    draft = dock.open()
    dock.add(draft, "SAAZ", "5 kg", "COLD")
    send(clerk, draft, "lines/", {"material": "cascade"})
    line = draft.lines.get(position=2)
    assert (line.material.code, line.location.code) == ("CASCADE", "COLD")


def test_what_is_wrong_stands_beside_its_field_and_in_the_list_before_the_button(clerk, dock):
    draft = dock.open(note_number="")
    line = dock.add(draft, "SAAZ", "5.2 kg", note_quantity_micro=micro("5 kg"))
    page = clerk.get(f"/receiving/{draft.pk}/")
    assert "2 things to be put right" in text_of(page)
    assert beside(page, "head-note_number") == "Still to be given."
    assert "5.2 kg were weighed where the note says 5 kg" in beside(page, f"line-{line.pk}-difference_reason")
    assert "0.2 kg (4.00 %) more than the note says" in text_of(page)
    assert 'aria-invalid="true"' in page.content.decode()


def test_a_note_that_came_before_is_questioned_and_can_be_confirmed(clerk, dock, brewhouse):
    brewhouse.deliver("SAAZ", "H1", "1 kg", supplier="HOPYARD", note="LS-1", hours=-1)
    draft = dock.open()
    dock.add(draft, "SAAZ", "5 kg")
    page = clerk.get(f"/receiving/{draft.pk}/")
    assert "Note LS-1 of Larkham Hop Yard was received on" in beside(page, "head-same_note_confirmed")
    fields = {"boxes": "same_note_confirmed", "same_note_confirmed": "on"}
    answer = send(clerk, draft, "head/", fields, **PIECES)
    assert "Nothing stands in the way" in text_of(answer)
    send(clerk, draft, "head/", {"boxes": "same_note_confirmed"}, **PIECES)
    assert not Delivery.objects.get(pk=draft.pk).same_note_confirmed


def test_what_was_ordered_is_shown_and_what_is_too_much_or_another_material_is_told_at_once(clerk, dock, brewhouse):
    ordered = [OrderedLine(brewhouse.material("SAAZ"), micro("20 kg"), START.date())]
    supplier = brewhouse.party("HOPYARD")
    enter_order(number="PO-1", supplier=supplier, ordered_on=START.date(), lines=ordered, **brewhouse.by("receiving"))
    draft = dock.open()
    much, other = dock.add(draft, "SAAZ", "22 kg"), dock.add(draft, "CASCADE", "1 kg")
    page = clerk.get(f"/receiving/{draft.pk}/")
    assert "PO-1 Saaz 20 kg 0 kg 20 kg 22 kg too much" in text_of(page)
    assert "Order PO-1: 2 kg more than was ordered." in beside(page, f"line-{much.pk}-quantity")
    assert "No Cascade is still to come from Larkham Hop Yard." in beside(page, f"line-{other.pk}-material")
    taken_off = send(clerk, draft, f"lines/{much.pk}/", {"order_line": ""}, **PIECES)
    assert "too much" not in text_of(taken_off)


def test_a_silo_says_beside_the_field_that_it_holds_something_else_or_is_full(clerk, dock, brewhouse):
    brewhouse.deliver("PILS", "M1", "1000 kg", "SILO1")
    silo = brewhouse.place("SILO2")
    type(silo).objects.filter(pk=silo.pk).update(capacity_micro=micro("2000 kg"), capacity_unit="kg")
    draft = dock.open("MALTINGS")
    munich, much = dock.add(draft, "MUNICH", "10 kg", "SILO1"), dock.add(draft, "PILS", "2001 kg", "SILO2")
    mixed = dock.add(draft, "PILS", "10 kg", "SILO1")
    page = clerk.get(f"/receiving/{draft.pk}/")
    told = beside(page, f"line-{munich.pk}-location")
    assert "Silo 1 holds 1 000 kg of Pilsner malt." in told
    assert "Munich malt" in told.partition("Pilsner malt.")[2]
    assert "Silo 2 is empty; 2 000 kg more fit." in beside(page, f"line-{much.pk}-location")
    assert "takes 2000 kg; with this it would hold 2001 kg" in beside(page, f"line-{much.pk}-quantity")
    assert f'id="line-{mixed.pk}-contents_code"' in page.content.decode()


def test_a_booked_delivery_shows_its_lots_and_takes_papers_still(clerk, dock):
    draft = dock.open()
    dock.add(draft, "SAAZ", "5 kg")
    answer = send(clerk, draft, "booking/", {})
    assert answer.status_code == 303
    page = clerk.get(answer["Location"])
    assert "receiving booked it on" in text_of(page)
    assert f'href="/lots/{Lot.objects.get().pk}/"' in page.content.decode()
    files = {"papers": [SimpleUploadedFile("note.pdf", PDF), SimpleUploadedFile("pallet.jpg", JPEG)]}
    for _ in range(2):
        send(clerk, draft, "papers/", files)
        files = {"papers": [SimpleUploadedFile("note.pdf", PDF)]}
    assert [paper.name for paper in draft.attachments.all()] == ["note.pdf", "pallet.jpg"]


def test_what_cannot_be_booked_says_all_that_is_wrong(clerk, dock):
    draft = dock.open(condition="")
    answer = send(clerk, draft, "booking/", {})
    assert answer.status_code == 409
    assert "What condition it arrived in is missing." in text_of(answer)
    assert "What was delivered is missing." in text_of(answer)


def test_the_second_of_two_who_book_is_told_who_did(clerk, dock, brewhouse):
    draft = dock.open()
    dock.add(draft, "SAAZ", "5 kg")
    Dock(brewhouse, "quality").book(draft)
    answer = send(clerk, draft, "booking/", {})
    assert answer.status_code == 409
    assert "quality booked delivery note LS-1 on" in text_of(answer)
    assert 'data-state="booked"' in send(clerk, draft, "scans/", {"text": BOX}, **PIECES).content.decode()


def test_a_discarded_draft_says_so(clerk, dock):
    draft = dock.open()
    assert send(clerk, draft, "discarding/", {}).status_code == 303
    assert "was discarded" in text_of(clerk.get(f"/receiving/{draft.pk}/"))


def test_a_file_of_another_kind_is_refused_by_what_it_holds(clerk, dock):
    draft = dock.open()
    answer = send(clerk, draft, "papers/", {"papers": [SimpleUploadedFile("note.pdf", b"MZ")]})
    assert answer.status_code == 400
    assert "no PDF, JPEG or PNG" in text_of(answer)
    assert "Choose a file first" in text_of(send(clerk, draft, "papers/", {}))


def csv_file(content: str) -> dict[str, SimpleUploadedFile]:
    return {"file": SimpleUploadedFile("lines.csv", content.encode())}


def test_the_sample_file_can_be_read_in_as_it_is(clerk, dock):
    sample = clerk.get("/receiving/sample.csv")
    assert sample["Content-Type"].startswith("text/csv")
    draft = dock.open()
    assert send(clerk, draft, "file/", csv_file(sample.content.decode())).status_code == 303
    assert [line.supplier_lot for line in draft.lines.all()] == ["SAMPLE-1", "SAMPLE-2"]
    assert "sample.csv" in clerk.get(f"/receiving/{draft.pk}/").content.decode()


def test_a_file_with_a_fault_is_told_by_its_place_and_adds_nothing(clerk, dock):
    draft = dock.open()
    answer = send(clerk, draft, "file/", csv_file("material,quantity,unit\nSAAZ,5,kg\nNOHOP,five,kg\nNOHOP,5,kg\n"))
    assert answer.status_code == 400
    assert "Line 3, quantity, “five”: 'five' is no quantity" in text_of(answer)
    assert not draft.lines.exists()
    assert "It is empty" in text_of(send(clerk, draft, "file/", csv_file("")))


def test_a_long_draft_is_shown_in_parts_the_newest_first(clerk, dock):
    draft = dock.open()
    for _ in range(22):
        dock.add(draft, "SAAZ", "5 kg")
    page = clerk.get(f"/receiving/{draft.pk}/").content.decode()
    assert re.findall(r"Line (\d+):", page)[1:4] == ["22", "21", "20"]
    assert 'href="?to=2"' in page
    older = clerk.get(f"/receiving/{draft.pk}/?to=2").content.decode()
    assert "Line 1:" in older
    assert "Newest lines" in older


def test_who_only_reads_is_shown_no_form(client, dock, brewhouse):
    draft = dock.open()
    dock.add(draft, "SAAZ", "5 kg")
    client.force_login(brewhouse.people["auditor"])
    page = client.get(f"/receiving/{draft.pk}/").content.decode()
    assert page.count('method="post"') == 1  # signing out
    assert "not booked yet" in page
    assert "New delivery" not in client.get("/receiving/").content.decode()


def test_the_page_asks_as_often_for_many_lines_as_for_few(clerk, dock, django_assert_max_num_queries):
    draft = dock.open()
    for count in (1, 12):
        for _ in range(count):
            dock.add(draft, "SAAZ", "5 kg", supplier_lot="A")
        with django_assert_max_num_queries(26):
            clerk.get(f"/receiving/{draft.pk}/")


def test_receiving_is_in_the_navigation():
    assert "receiving" in [entry.url_name for entry in entries_of()]


def test_what_was_received_without_a_draft_is_listed_with_its_lots(clerk, brewhouse):
    brewhouse.deliver("SAAZ", "H77", "20 kg")
    page = text_of(clerk.get("/receiving/"))
    assert "From files and by other programs" in page
    assert "H77" in page
