"""EPCIS over the API: the record is queried a page at a time, and handed out as a document."""

from typing import Any

import pytest

from tests.api.client import Api, fields_of, problem_of
from traceability.epcis.checking import faults_of


def events_in(answer: Any) -> list[dict[str, Any]]:
    return answer.json()["epcisBody"]["queryResults"]["resultsBody"]["eventList"]


def test_a_query_leads_from_page_to_page_and_says_which_version_it_speaks(api: Api):
    api.house.stock_up()
    answer = api.get("epcis/events/", perPage=5, EQ_bizStep="https://ref.gs1.org/cbv/BizStep-receiving|shipping")
    assert answer["GS1-EPCIS-Version"] == "2.0.0"
    following = answer["Link"].removeprefix("<http://testserver/api/v1/").removesuffix('>; rel="next"')
    pages = [
        page.json()["epcisBody"]["queryResults"]["resultsBody"]["eventList"] for page in (answer, api.get(following))
    ]
    assert [len(page) for page in pages] == [5, 3]
    assert len({event["eventID"] for page in pages for event in page}) == 8
    assert "Link" not in api.get(following)


@pytest.mark.usefixtures("whole_chain")
def test_a_document_is_a_file_of_the_published_form(api: Api):
    answer = api.get("epcis/document/?lot=KEG1")
    assert answer["Content-Disposition"] == 'attachment; filename="epcis-KEG1.json"'
    assert faults_of(answer.json()) == []
    period = api.get("epcis/document/?GE_eventTime=2026-03-02T00:00:00Z&LT_eventTime=2026-03-03T00:00:00Z")
    assert len(period.json()["epcisBody"]["eventList"]) == 12


@pytest.mark.parametrize(
    ("address", "status", "field"),
    [
        ("epcis/events/?eventType=BrewEvent", 400, "eventType"),
        ("epcis/events/?GE_eventTime=yesterday", 400, "GE_eventTime"),
        ("epcis/events/?EQ_eventID=%00", 400, "EQ_eventID"),
        ("epcis/events/?perPage=0", 400, "perPage"),
        ("epcis/events/?nextPageToken=5", 400, "nextPageToken"),
        ("epcis/events/?EQ_bizstep=shipping", 400, "EQ_bizstep"),
        ("epcis/document/", 400, "lot"),
        ("epcis/document/?lot=KEG1&GE_eventTime=2026-03-02T00:00:00Z", 400, "lot"),
        ("epcis/document/?lot=NONE", 404, "lot"),
    ],
)
def test_what_a_query_cannot_be_is_refused_by_its_parameter(api: Api, address: str, status: int, field: str):
    assert fields_of(problem_of(api.get(address), status)) == [field]
