"""Readings on pages: written down several at once, corrected, marked beyond their limits, drawn and told in words."""

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from brewery.production.models import TankReading
from tests.brewhouse import Brewhouse, at, rid
from tests.production.cellar import FALLING, STUCK, fermenting, gravities, measured, put_right, read, values
from tests.signing import signed_in
from tests.standing import built_once

WHEN = "2026-03-03T18:00"
PAGE = "/cellar/FV1/readings/"


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """T1 was pitched in FV1 at hour 10; its sheet says 9 °C for seven days."""
    fermenting(brewhouse)
    return brewhouse


@pytest.fixture
def cellarman(house: Brewhouse) -> Client:
    return signed_in(house, "brewing")


def form_faults(answer: Any) -> dict[str, list[str]]:
    assert answer.status_code == 400
    return answer.context["refused"]["form"].errors


def test_several_properties_are_written_down_at_once_and_sent_twice_they_stand_once(cellarman: Client):
    asked = {"request_id": rid(), "gravity": "11,4", "temperature": "-0.5", "pressure": "0.8", "remark": "hazy"}
    for _ in range(2):
        answer = cellarman.post(PAGE, {**asked, "noted_at": "2026-03-03T17:00:05Z"})
        assert (answer.status_code, answer.url) == (303, PAGE)
    rows = list(TankReading.objects.order_by("pk"))
    assert [(one.property, one.value_micro) for one in rows] == [
        ("gravity", 11_400_000),
        ("temperature", -500_000),
        ("pressure", 800_000),
    ]
    assert {(one.happened_at.isoformat(), one.remark) for one in rows} == {("2026-03-03T17:00:05+00:00", "hazy")}


def test_every_form_can_be_sent_without_a_script(cellarman: Client):
    for address in (PAGE, "/brewing/brews/B1/"):
        page = _text(cellarman, address)
        assert page.count("csrfmiddlewaretoken") == page.count('method="post"')


def test_a_refusal_stands_beside_the_property_it_is_about(house: Brewhouse, cellarman: Client):
    cellarman.post(PAGE, {"request_id": rid(), "happened_at": WHEN, "ph": "4.3"})
    again = {"request_id": rid(), "happened_at": WHEN}
    assert list(form_faults(cellarman.post(PAGE, {**again, "gravity": "11", "ph": "4.4"}))) == ["ph"]
    assert list(form_faults(cellarman.post(PAGE, {**again, "ph": "4.4"}))) == ["ph"]
    assert list(form_faults(cellarman.post(PAGE, {**again, "gravity": "110", "co2": "< 4"}))) == ["gravity", "co2"]
    assert list(form_faults(cellarman.post(PAGE, again))) == ["__all__"]
    assert TankReading.objects.count() == 1


def test_a_refusal_of_the_moment_stands_there_once(cellarman: Client):
    asked = {"request_id": rid(), "happened_at": "2026-02-01T10:00", "gravity": "12", "temperature": "9"}
    assert [len(one) for one in form_faults(cellarman.post(PAGE, asked)).values()] == [1]


def test_a_correction_takes_the_place_of_a_reading_which_stays_to_be_seen(house: Brewhouse, cellarman: Client):
    wrong = read(house, measured(house, "temperature", "19", 20))
    address = f"/cellar/FV1/reading-correction/?reading={wrong.pk}"
    form = cellarman.get(address).context["form"]
    asked = {"request_id": rid(), "reading": wrong.pk, "value": "9", "reason": "misread"}
    answer = cellarman.post(address, {**asked, "happened_at": form["happened_at"].value().strftime("%Y-%m-%dT%H:%M")})
    assert (answer.status_code, answer.url) == (303, PAGE)
    page = cellarman.get(PAGE).content.decode()
    assert "Temperature 19 °C" in page
    assert "Temperature 9 °C" in page
    assert "Replaced: misread." in page
    assert values(list(TankReading.objects.filter(replaced_by=None))) == [9_000_000]


def test_a_reading_of_another_tank_or_no_number_is_not_corrected_here(house: Brewhouse, cellarman: Client):
    wrong = read(house, measured(house, "gravity", "11", 20))
    for asked in (f"/cellar/FV2/reading-correction/?reading={wrong.pk}", "/cellar/FV1/reading-correction/?reading=x"):
        assert cellarman.get(asked).status_code == 404
    assert cellarman.get("/cellar/SILO1/readings/").status_code == 404


def test_what_is_beyond_its_limits_says_so_in_words(house: Brewhouse, cellarman: Client):
    read(house, measured(house, "temperature", "14", 20))
    assert "Beyond its limits: 14 °C; the sheet says 8 to 10 °C for fermentation." in _text(cellarman, PAGE)


def test_who_only_looks_is_shown_readings_and_no_form(house: Brewhouse):
    read(house, measured(house, "gravity", "11", 20))
    answer = signed_in(house, "auditor").get(PAGE)
    assert answer.context["form"] is None
    assert "Gravity 11 °P" in answer.content.decode()
    assert "Correct</a>" not in answer.content.decode()


def test_tank_and_readings_show_the_drawing_with_sentences_that_say_the_same(house: Brewhouse, cellarman: Client):
    gravities(house, FALLING)
    put_right(house, read(house, measured(house, "temperature", "20", 60)), "9.2", hours=60)
    for address in ("/cellar/FV1/", PAGE):
        drawing = cellarman.get(address).context["drawing"]
        assert drawing.svg.count("<circle") == len(FALLING) + 1
        assert drawing.says[0].startswith("Gravity, read 6 times: 2.8 °P")
        assert any("expected to be within 0.1 °P" in sentence for sentence in drawing.says)
        assert [(one.sign, one.words) for one in drawing.noted] == [("1", house.lot("Y1").material.name)]
        assert len(drawing.rows) == len(FALLING) + 1


def test_a_stuck_fermentation_is_told_in_words_on_tank_and_board(house: Brewhouse, cellarman: Client, time_machine):
    gravities(house, STUCK)
    time_machine.move_to(at(135))
    assert "Fermentation is stuck. It fell by" in _text(cellarman, "/cellar/FV1/")
    assert "fermentation is stuck" in _text(cellarman, "/cellar/")


def _text(client: Client, address: str) -> str:
    return client.get(address).content.decode()


def test_a_file_of_a_logger_is_read_in_on_a_page_which_tells_every_fault(cellarman: Client):
    def send(text: str) -> Any:
        file = SimpleUploadedFile("logger.csv", text.encode())
        return cellarman.post("/cellar/logger-file/", {"request_id": rid(), "file": file})

    header = "time,vessel,temperature\n"
    answer = send(f"{header}2026-03-03T08:00,FV1,warm\n")
    assert answer.status_code == 400
    assert "Line 2, temperature, “warm”" in answer.context["form"].errors["file"][0]
    answer = send(f"{header}2026-03-03T08:00,FV1,9\n")
    assert (answer.status_code, answer.url, TankReading.objects.count()) == (303, PAGE, 1)
