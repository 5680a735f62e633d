"""The pages of brew sheets: written line by line, each fault beside its field, shown with what to expect and why."""

import re
import uuid
from typing import Any

import pytest
from django.test import Client

from brewery.production.models import BrewSheet
from brewery.production.queries.sheet_contents import content_of
from inventory.models import Material
from tests.brewhouse import Brewhouse, micro
from tests.inventory.laboratory import Laboratory
from tests.production.sheets import change, content_of_fresh, draft, fresh, in_use

HEAD: dict[str, str] = {
    "beer": "LAGER",
    "cold_wort": "30",
    "original_gravity_p": "12,5",
    "final_gravity_p": "2.5",
    "bitterness_bu": "26",
    "yield_pct": "75",
    "boil_minutes": "70",
    "mash_liquor": "2000 L",
    "yeast": "lager yeast",
    "pitch_cells": "1.25",
    "is_filtered": "on",
    "calcium": "80",
}
LINES: dict[str, list[dict[str, str]]] = {
    "grains": [{"material": "PILS", "share": "90"}, {}, {"material": "MUNICH", "share": "10"}],
    "hops": [
        {"material": "SAAZ", "stage": "boil", "minutes": "60", "amount": "250 g", "of": "alpha"},
        {"material": "CASCADE", "stage": "whirlpool", "minutes": "20", "temperature": "85", "amount": "3"},
    ],
    "salts": [{"material": "GYPSUM", "into": "mash", "quantity": "400"}],
    "mash_steps": [
        {"number": "1", "action": "mash_in", "vessel": "mash_tun", "temperature": "62", "minutes": "10"},
        {"number": "3", "action": "put_back", "vessel": "mash_tun", "temperature": "72", "minutes": "10"},
        {
            "number": "2",
            "action": "draw_off",
            "vessel": "mash_kettle",
            "temperature": "62",
            "minutes": "5",
            "share": "33",
        },
    ],
    "cellar_steps": [
        {"phase": "fermentation", "temperature": "9", "days": "8"},
        {"phase": "maturation", "temperature": "-1", "days": "28"},
    ],
}


@pytest.fixture
def brewer(client: Client, brewhouse: Brewhouse) -> Client:
    client.force_login(brewhouse.people["brewing"])
    return client


def sent(lines: dict[str, list[dict[str, str]]] | None = None, **head: str) -> dict[str, str]:
    """Return what the form sends."""
    form = {"request_id": str(uuid.uuid4()), **HEAD, **head}
    for name, rows in {**LINES, **(lines or {})}.items():
        form |= {f"{name}-TOTAL_FORMS": str(len(rows)), f"{name}-INITIAL_FORMS": "0"}
        form |= {f"{name}-{at}-{field}": value for at, row in enumerate(rows) for field, value in row.items()}
    return form


def text_of(answer: Any) -> str:
    return " ".join(re.sub("<[^>]+>", " ", answer.content.decode()).split()).replace("\xa0", " ")


def test_a_sheet_is_written_once_and_says_what_was_typed(brewer: Client, brewhouse: Brewhouse):
    form = sent()
    first, again = brewer.post("/brewing/sheets/new/", form), brewer.post("/brewing/sheets/new/", form)
    sheet = BrewSheet.objects.get()
    assert (first.status_code, first["Location"]) == (303, f"/brewing/sheets/{sheet.pk}/")
    assert again["Location"] == first["Location"]
    said = content_of(fresh(sheet))
    assert (said.cold_wort_micro, said.original_gravity_milli_p, said.pitch_cells) == (
        micro("30 hL"),
        12_500,
        1_250_000,
    )
    assert (said.mash_liquor_micro, said.is_filtered, said.evaporation_ppm) == (micro("2000 L"), True, 0)
    assert [(grain.material.code, grain.share_ppm) for grain in said.grains] == [("PILS", 900_000), ("MUNICH", 100_000)]
    assert [(hop.alpha_micro, hop.weight_micro) for hop in said.hops] == [(micro("250 g"), None), (None, micro("3 kg"))]
    assert [step.action for step in said.mash_steps] == ["mash_in", "draw_off", "put_back"]
    assert [step.temperature_milli_c for step in said.cellar_steps] == [9_000, -1_000]
    assert [(ion.ion, ion.milli_mg_per_l) for ion in said.ions] == [("calcium", 80_000)]


@pytest.mark.parametrize(
    ("lines", "head", "words"),
    [
        ({"grains": [{"material": "PILS", "share": "90"}]}, {}, "The shares add up to 100 % exactly."),
        ({"grains": [{"share": "100"}]}, {}, "The line needs this"),
        ({"grains": [{"material": "NOPE", "share": "100"}]}, {}, "There is no malt or adjunct “NOPE”"),
        ({"grains": [{"material": "SAAZ", "share": "100"}]}, {}, "There is no malt or adjunct “SAAZ”"),
        ({"hops": [{}, {**LINES["hops"][0], "minutes": "90"}]}, {}, "The boil takes 70 minutes."),
        ({"hops": [{**LINES["hops"][1], "temperature": ""}]}, {}, "Say how warm the whirlpool is"),
        ({"mash_steps": LINES["mash_steps"][:1] + LINES["mash_steps"][2:]}, {}, "It is never put back"),
        ({}, {"original_gravity_p": "twelve"}, "&#x27;twelve&#x27; is not a quantity"),
        ({}, {"original_gravity_p": "12.34567"}, "Up to 3 decimals are kept."),
        ({}, {"final_gravity_p": "13"}, "It lies below the original gravity."),
        ({}, {"cold_wort": "30 kg"}, "is not a quantity in L"),
        ({}, {"mash_liquor": "0"}, "Give a quantity above zero"),
    ],
)
def test_what_is_wrong_is_told_on_the_form_and_nothing_is_written(brewer: Client, lines: Any, head: Any, words: str):
    page = brewer.post("/brewing/sheets/new/", sent(lines, **head))
    assert page.status_code == 400
    assert words in text_of(page)
    assert 'value="PILS"' in page.content.decode() or "grains" in lines
    assert not BrewSheet.objects.exists()


def test_an_acid_is_measured_in_litres_and_a_salt_is_weighed(brewer: Client):
    Material.objects.create(code="LACTIC", name="Lactic acid", kind="salt", base_unit="L")
    salts = [
        {"material": "LACTIC", "into": "mash", "quantity": "250"},
        {"material": "GYPSUM", "into": "sparge", "quantity": "0.4 kg"},
    ]
    assert brewer.post("/brewing/sheets/new/", sent({"salts": salts})).status_code == 303
    sheet = BrewSheet.objects.get()
    assert [salt.quantity_micro for salt in fresh(sheet).salts.all()] == [micro("250 mL"), micro("400 g")]
    form = brewer.get(f"/brewing/sheets/{sheet.pk}/change/").content.decode()
    assert 'name="salts-0-quantity" value="0.25 L"' in form
    wrong = [{"material": "LACTIC", "into": "mash", "quantity": "250 g"}]
    assert "is not a quantity in L" in text_of(brewer.post("/brewing/sheets/new/", sent({"salts": wrong})))


def test_a_fault_of_a_line_stands_beside_the_field_of_that_line(brewer: Client):
    lines = {"hops": [{}, {**LINES["hops"][0], "minutes": "90"}]}
    page = brewer.post("/brewing/sheets/new/", sent(lines)).content.decode()
    fault = re.search(r'id="id_hops-1-minutes_error".*?</ul>', page, re.S)
    assert fault
    assert "The boil takes 70 minutes." in fault[0]


def test_more_lines_keep_what_was_typed_and_write_nothing(brewer: Client):
    page = brewer.post("/brewing/sheets/new/", sent(more="hops"))
    text = page.content.decode()
    assert page.status_code == 200
    assert 'name="hops-TOTAL_FORMS" value="4"' in text
    assert 'name="grains-TOTAL_FORMS" value="3"' in text
    assert 'value="250 g"' in text
    assert not BrewSheet.objects.exists()
    assert brewer.post("/brewing/sheets/new/", {"more": "hops"}).status_code == 200


def test_a_draft_is_changed_on_the_form_that_says_what_it_says(brewer: Client, brewhouse: Brewhouse):
    sheet = draft(brewhouse, formats=())
    address = f"/brewing/sheets/{sheet.pk}/change/"
    form = brewer.get(address)
    fields = dict(re.findall(r'name="([\w-]+)" value="([^"]*)"', form.content.decode()))
    assert (fields["cold_wort"], fields["hops-0-amount"], fields["cellar_steps-2-temperature"]) == (
        "30 hL",
        "0.25 kg",
        "0",
    )
    chosen = {name: value for name, value in fields.items() if name not in ("csrfmiddlewaretoken", "formats", "more")}
    page = form.content.decode()
    for name, options in re.findall(r'<select name="([\w-]+)".*?>(.*?)</select>', page, re.S):
        found = re.search(r'value="(\w*)"\s+selected', options)
        chosen[name] = found[1] if found else ""
    before = content_of_fresh(sheet)
    answer = brewer.post(address, {**chosen, "is_filtered": "on", "note": before.note})
    assert answer.status_code == 303, text_of(answer)
    assert content_of_fresh(sheet) == before
    assert fresh(sheet).revision == 2
    again = brewer.post(address, {**chosen, "request_id": str(uuid.uuid4()), "note": "other"})
    assert again.status_code == 400
    assert "is at revision 2 since" in text_of(again)


def test_the_list_is_by_beer_and_offers_writing_to_brewers_alone(brewer: Client, brewhouse: Brewhouse):
    assert "No brew sheet is written yet." in text_of(brewer.get("/brewing/sheets/"))
    in_use(brewhouse)
    draft(brewhouse)
    page = text_of(brewer.get("/brewing/sheets/"))
    assert re.search(r"Quillmere Lager .*Version 2 draft .*Version 1 in use", page)
    assert "Write a brew sheet" in page
    brewer.force_login(brewhouse.people["auditor"])
    assert "Write a brew sheet" not in text_of(brewer.get("/brewing/sheets/"))


def test_a_sheet_shows_what_to_weigh_and_to_expect_with_the_reason_of_each(brewer: Client, brewhouse: Brewhouse):
    brewhouse.stock_up()
    Laboratory(brewhouse).enter("H1", number="C3", values={"alpha": "3.4"})
    sheet = in_use(brewhouse)
    page = text_of(brewer.get(f"/brewing/sheets/{sheet.pk}/"))
    assert "250.0 g alpha acids. 7.353 kg of lot H1 (3.4 % by certificate C3" in page
    assert re.search(r"Original gravity 12 °P 12 °P", page)
    assert "No certificate tells the alpha acids of Cascade." in page
    assert "draw off 33 % of the mash, 63 °C, 5 min, mash kettle" in page
    twice = text_of(brewer.get(f"/brewing/sheets/{sheet.pk}/", {"cold_wort": "60", "on": "2026-03-02"}))
    assert "14.706 kg of lot H1" in twice
    assert "What to expect on 2 Mar 2026" in twice
    assert "is not a quantity" in text_of(brewer.get(f"/brewing/sheets/{sheet.pk}/", {"cold_wort": "lots"}))
    assert "Give more than 0." in text_of(brewer.get(f"/brewing/sheets/{sheet.pk}/", {"cold_wort": "0"}))


def test_what_is_unusual_is_a_warning_on_the_page(brewer: Client, brewhouse: Brewhouse):
    sheet = draft(brewhouse, boil_minutes=20, hops=())
    assert "The boil of 20 min is unusual" in text_of(brewer.get(f"/brewing/sheets/{sheet.pk}/"))


def step(brewer: Client, sheet: BrewSheet, name: str, revision: int = 1) -> Any:
    sent_form = {"request_id": str(uuid.uuid4()), "revision": str(revision)}
    return brewer.post(f"/brewing/sheets/{sheet.pk}/{name}/", sent_form)


def test_buttons_put_in_use_copy_and_withdraw(brewer: Client, brewhouse: Brewhouse):
    sheet = draft(brewhouse)
    assert "Change it" in text_of(brewer.get(f"/brewing/sheets/{sheet.pk}/"))
    assert step(brewer, sheet, "use").status_code == 303
    assert fresh(sheet).state == "in_use"
    copied = step(brewer, sheet, "copy")
    assert copied["Location"] == f"/brewing/sheets/{BrewSheet.objects.get(version=2).pk}/"
    assert step(brewer, sheet, "withdrawal").status_code == 303
    page = text_of(brewer.get(f"/brewing/sheets/{sheet.pk}/"))
    assert "Withdraw it" not in page
    assert "Compare with Version 2" in page


def test_a_draft_is_discarded_by_its_button_and_offers_it_no_more(brewer: Client, brewhouse: Brewhouse):
    sheet = draft(brewhouse)
    assert "Discard it" in text_of(brewer.get(f"/brewing/sheets/{sheet.pk}/"))
    assert step(brewer, sheet, "discard").status_code == 303
    page = text_of(brewer.get(f"/brewing/sheets/{sheet.pk}/"))
    assert "Discard it" not in page
    assert "discarded" in page
    assert "discarded" in text_of(brewer.get("/brewing/sheets/"))


def test_a_button_that_is_refused_says_why(brewer: Client, brewhouse: Brewhouse):
    sheet = draft(brewhouse, grains=(), mash_steps=())
    page = step(brewer, sheet, "use")
    assert page.status_code == 409
    assert "The grain bill is missing." in text_of(page)
    assert "The mash is missing." in text_of(page)
    change(brewhouse, sheet, note="changed")
    assert step(brewer, sheet, "use").status_code == 412
    assert brewer.post(f"/brewing/sheets/{sheet.pk}/use/").status_code == 400


def test_two_sheets_stand_side_by_side(brewer: Client, brewhouse: Brewhouse):
    first = in_use(brewhouse)
    second = draft(brewhouse, original_gravity_milli_p=13_000)
    page = text_of(brewer.get(f"/brewing/sheets/{first.pk}/comparison/", {"other": second.pk}))
    assert "Original gravity changed 12 °P 13 °P" in page
    same = text_of(brewer.get(f"/brewing/sheets/{first.pk}/comparison/", {"other": first.pk}))
    assert "Both say the same." in same
    assert brewer.get(f"/brewing/sheets/{first.pk}/comparison/").status_code == 404


def test_a_sheet_is_printed_for_the_length_that_was_asked(brewer: Client, brewhouse: Brewhouse):
    sheet = in_use(brewhouse)
    answer = brewer.get(f"/brewing/sheets/{sheet.pk}/print/", {"cold_wort": "60"})
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    assert answer.content.startswith(b"%PDF-")


def test_a_sheet_that_is_not_there_is_not_found(brewer: Client):
    assert brewer.get("/brewing/sheets/999999/").status_code == 404
    assert brewer.get("/brewing/sheets/999999/change/").status_code == 404
