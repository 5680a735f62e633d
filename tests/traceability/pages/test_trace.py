"""The trace page: asked in one field, answered three times over, and as files."""

import csv
import io
import re

import pytest
from django.test import Client

from tests.brewhouse import Brewhouse
from tests.signing import signed_in
from tests.standing import built_once
from tests.traceability.drawing.pictures import parsed


def boxes(drawing: str):
    return [each for each in parsed(drawing).iter() if "trace-node" in each.get("class", "")]


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.whole_chain()
    return brewhouse


@pytest.fixture
def desk(house: Brewhouse) -> Client:
    return signed_in(house, "quality")


def test_a_lot_is_drawn_listed_and_summed_with_its_suppliers_and_customers(desk):
    page = desk.get("/trace/?q=KEG1").content.decode()
    for words in ('aria-label="INN, The Heron Inn"', 'aria-label="MALTINGS, Stowfield Maltings"', "packaged beer"):
        assert words in page
    for way in ("/lots/M1/postings/", "/lots/M1/postings/#links", "/lots/KEG1/postings/?place=customer%3AINN"):
        assert f'href="{way}"' in page


def test_what_can_mean_several_things_is_asked_and_a_choice_is_answered(desk):
    page = desk.get("/trace/?q=quillmere").content.decode()
    assert "Which of these?" in page
    href = re.search(r'href="(\?[^"]+)">Every lot of Quillmere Lager<', page)[1]
    assert '<h2 id="drawn">Every lot of Quillmere Lager</h2>' in desk.get(f"/trace/{href}").content.decode()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("nobody knows", "Nothing on record is called “nobody knows”"),
        ("FV2", "What lay in Fermenter 2: nothing lay there now: say when"),
        ("(01)09501101530004", "its check digit would be 3"),
    ],
)
def test_what_cannot_be_traced_is_told_with_what_to_do(desk, text, words):
    assert words in desk.get("/trace/", {"q": text}).content.decode()
    assert desk.get("/trace/table.csv", {"q": text}).status_code == 400


def test_the_table_is_a_file_narrowed_and_sorted_as_on_the_page(desk):
    answer = desk.get("/trace/table.csv?q=KEG1&kind=hop&sort=-lot")
    assert answer["Content-Disposition"] == 'attachment; filename="trace.csv"'
    rows = list(csv.DictReader(io.StringIO(answer.content.decode())))
    assert [row["lot"] for row in rows] == ["H2", "H1"]


def test_what_is_not_listed_is_drawn_faintly_where_it_was(desk):
    whole, narrowed = (desk.get(f"/trace/drawing.svg?q=KEG1{more}").content.decode() for more in ("", "&kind=hop"))
    assert narrowed.replace(" is-faded", "").replace(", not listed", "") == whole
    clear = {each.get("aria-label").split(",")[0] for each in boxes(narrowed) if "is-faded" not in each.get("class")}
    assert clear == {"H1", "H2", "HOPYARD"}


def test_the_drawing_is_a_file_that_leads_nowhere(desk):
    answer = desk.get("/trace/drawing.svg?q=KEG1&way=back")
    assert answer["Content-Type"] == "image/svg+xml"
    drawing = parsed(answer.content.decode())
    assert not [each for each in drawing.iter() if "href" in each.attrib]


@pytest.mark.parametrize(
    "query", ["q=KEG1&sort=price", "q=KEG1&since=yesterday", "q=KEG1&open=x&open=999", "at=now", ""]
)
def test_an_odd_address_is_answered_without_a_fault(desk, query):
    assert desk.get(f"/trace/?{query}").status_code == 200
