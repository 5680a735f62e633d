"""The pages of certificates: entered lot by lot or from a file, shown against what is asked, corrected by another."""

import re
import uuid
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from inventory.models import Attachment, Certificate
from tests.brewhouse import Brewhouse
from tests.inventory.laboratory import GOOD, Laboratory
from tests.inventory.papers import PDF
from tests.standing import built_once


@built_once
def lab(brewhouse: Brewhouse) -> Laboratory:
    for number in (1, 2):
        brewhouse.deliver("MUNICH", f"M{number}", "500 kg", note=str(number))
    brewhouse.deliver("GYPSUM", "S1", "25 kg", note="3")
    lab = Laboratory(brewhouse)
    lab.ask_for_malt()
    return lab


@pytest.fixture
def clerk(client: Client, lab: Laboratory) -> Client:
    client.force_login(lab.house.people["receiving"])
    return client


def text_of(answer: Any) -> str:
    return " ".join(re.sub("<[^>]+>", " ", answer.content.decode()).split()).replace("\xa0", " ")


def sent(values: dict[str, str], **head: Any) -> dict[str, Any]:
    typed = {f"value-{name}": value for name, value in values.items()}
    return {"request_id": str(uuid.uuid4()), "number": "A-7", "laboratory": "Stowfield", **typed, **head}


def test_the_page_asks_for_the_lot_first_and_then_for_what_is_asked_of_it(clerk):
    assert "Lot" in text_of(clerk.get("/certificates/new/"))
    text = text_of(clerk.get("/certificates/new/?lot=M1"))
    assert "Moisture, %" in text
    assert "Asked: at most 5 %." in text
    assert "Alpha" not in text


@pytest.mark.parametrize(
    ("lot", "words"), [("M9", "There is no lot “M9”"), ("S1", "No certificates of salt are kept."), ("", "required")]
)
def test_a_lot_that_has_none_is_told(clerk, lot, words):
    assert words in text_of(clerk.get(f"/certificates/new/?lot={lot}"))


def test_a_certificate_is_entered_once_with_its_paper_and_releases_its_lot(clerk, lab):
    form = sent(GOOD | {"moisture": "4,5"}, issued_on="2026-02-27")
    first = clerk.post("/certificates/new/?lot=M1", form | {"file": SimpleUploadedFile("coa.pdf", PDF)})
    again = clerk.post("/certificates/new/?lot=M1", form | {"file": SimpleUploadedFile("coa.pdf", PDF)})
    certificate = Certificate.objects.get()
    assert (first.status_code, first["Location"]) == (303, f"/certificates/{certificate.pk}/")
    assert again["Location"] == first["Location"]
    assert lab.house.lot("M1").disposition == "released"
    page = text_of(clerk.get(first["Location"]))
    assert "Lot M1 is released." in page
    assert "within limits" in page
    assert f"SHA-256 {Attachment.objects.get().sha256}" in page


def test_what_stands_against_a_release_is_told_at_once_and_on_the_page(clerk):
    answer = clerk.post("/certificates/new/?lot=M1", sent({"moisture": "5.2", "extract_fine_dry": "81.5"}))
    page = text_of(clerk.get(answer["Location"]))
    assert "Lot M1 is quarantined: Moisture 5.2 % is not at most 5 %; Ochratoxin A is not stated." in page
    assert "out of limits" in page
    assert "not stated" in page


def test_figures_that_do_not_agree_are_doubted(clerk):
    values = {"moisture": "4.2", "extract_fine_dry": "81.5", "extract_fine_as_is": "81.5"}
    answer = clerk.post("/certificates/new/?lot=M1", sent(values))
    assert "is 78.1 % as-is; the certificate says 81.5 %." in text_of(clerk.get(answer["Location"]))


@pytest.mark.parametrize(
    ("values", "head", "words"),
    [
        ({"moisture": "wet"}, {}, "'wet' is no number; write it as 4.5"),
        ({"moisture": "1,250"}, {}, "1,250 may be 1.250 or 1250; write it with a point."),
        ({"moisture": "51"}, {}, "51 % cannot be; plausible is 0 to 50 %."),
        ({}, {}, "Write at least one value."),
        ({"moisture": "4"}, {"issued_on": "2126-01-01"}, "That day has not come yet."),
    ],
)
def test_what_is_wrong_stands_on_the_form_and_nothing_is_entered(clerk, values, head, words):
    answer = clerk.post("/certificates/new/?lot=M1", sent(values, **head))
    assert answer.status_code == 400
    assert words in text_of(answer).replace("&#x27;", "'").replace("&quot;", '"')
    assert not Certificate.objects.exists()


def test_a_correction_starts_from_what_it_corrects_and_takes_its_place(clerk, lab):
    wrong = lab.enter("M1", number="A-7", laboratory="Stowfield", values=GOOD | {"moisture": "45"})
    address = f"/certificates/new/?lot=M1&replaces={wrong.pk}"
    page = clerk.get(address).content.decode()
    assert 'value="45"' in page
    assert 'value="&lt; 0.1"' in page
    answer = clerk.post(address, sent(GOOD))
    assert lab.house.lot("M1").disposition == "released"
    assert "See what this corrects." in text_of(clerk.get(answer["Location"]))
    assert "This was corrected: it no longer counts." in text_of(clerk.get(f"/certificates/{wrong.pk}/"))
    assert "corrected since" in text_of(clerk.get("/certificates/"))
    for address in (f"/certificates/new/?lot=M2&replaces={wrong.pk}", "/certificates/new/?lot=M1&replaces=x"):
        assert clerk.get(address).status_code == 404


def test_a_lot_that_has_gone_on_is_cautioned_about(clerk, lab):
    lab.enter("M1")
    brew = lab.house.start_brew("B1", hours=2)
    lab.house.draw(brew, ("M1", "STORE", "100 kg"), hours=2)
    lab.house.knock_out(brew, "W1", {"FV1": "500 L"}, hours=10)
    late = lab.enter("M1", number="T-1", values={"ochratoxin_a": "4"})
    assert lab.house.lot("M1").disposition == "quarantined"
    assert "It is in other lots by now, which no certificate holds back." in text_of(
        clerk.get(f"/certificates/{late.pk}/")
    )


def test_the_list_is_narrowed_and_goes_on_page_by_page(clerk, lab):
    for number in range(52):
        lab.enter("M1" if number % 2 else "M2", number=f"N{number:02}", values={"protein": "11"})
    page = clerk.get("/certificates/?lot=M1")
    assert ("N51" in text_of(page), "N50" in text_of(page)) == (True, False)
    page = clerk.get("/certificates/")
    older = re.search(r'rel="next" href="([^"]+)"', page.content.decode())
    assert older
    rest = text_of(clerk.get("/certificates/" + older[1].replace("&amp;", "&")))
    assert ("N00" in rest, "N01" in rest, "N02" in rest) == (True, True, False)


def test_a_file_of_certificates_is_read_and_what_it_did_is_told(clerk, lab):
    good = b"lot,moisture,extract_fine_dry,ochratoxin_a\nM1,4.5,81.5,0.2\nM2,5.2,81.5,0.2\n"
    form = {"request_id": str(uuid.uuid4()), "file": SimpleUploadedFile("coa.csv", good)}
    answer = clerk.post("/certificates/files/", form)
    assert (answer.status_code, answer["Location"]) == (303, "/certificates/")
    told = text_of(clerk.get("/certificates/"))
    assert "Certificates entered: 2. Lots released: M1; quarantined: M2." in told


def test_what_is_wrong_with_a_file_stands_below_it_line_by_line(clerk):
    bad = b"lot,moisture\nM1,wet\nM9,4\n"
    form = {"request_id": str(uuid.uuid4()), "file": SimpleUploadedFile("coa.csv", bad)}
    answer = clerk.post("/certificates/files/", form)
    assert answer.status_code == 400
    text = text_of(answer)
    assert "coa.csv, line 2, column moisture:" in text
    assert "coa.csv, line 3, column lot:" in text
    assert not Certificate.objects.exists()


def test_the_pages_of_certificates_ask_as_often_for_many_as_for_few(clerk, lab, django_assert_max_num_queries):
    for number in range(10):
        certificate = lab.enter("M1", number=str(number), values=GOOD)
    with django_assert_max_num_queries(5):
        clerk.get("/certificates/")
    with django_assert_max_num_queries(10):
        clerk.get(f"/certificates/{certificate.pk}/")


def test_a_certificate_that_is_not_there_is_not_shown(clerk):
    assert clerk.get("/certificates/999999/").status_code == 404
