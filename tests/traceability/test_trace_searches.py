"""The trace page's answer over the API."""

import pytest

from inventory.services.pallets import make_pallet
from inventory.services.trade_items import add_trade_item
from tests.brewhouse import at
from tests.signing import signed_in


@pytest.mark.usefixtures("whole_chain")
def test_the_api_answers_what_the_page_does_or_asks_what_is_meant(brewhouse):
    desk = signed_in(brewhouse, "quality")
    hops = desk.get("/api/v1/trace-searches/?q=KEG1&way=back&kind=hop&sort=-lot").json()
    assert [row["lot"] for row in hops["lots"]] == ["H2", "H1"]
    assert {"parent": "BB1", "child": "KEG1"}.items() <= next(
        link for link in hops["links"] if link["child"] == "KEG1" and link["parent"] == "BB1"
    ).items()
    several = desk.get("/api/v1/trace-searches/?q=quillmere").json()
    assert {choice["q"] for choice in several["choices"]} == {
        "material:LAGER",
        "material:KEG50",
        "material:BOTTLE500",
    }
    assert several["lots"] == []
    assert desk.get("/api/v1/trace-searches/").status_code == 400


@pytest.mark.usefixtures("whole_chain")
@pytest.mark.parametrize(
    ("text", "status", "words"),
    [
        ("zz", 404, "Nothing on record is called “zz”"),
        ("FV2", 404, "nothing lay there now: say when"),
        ("(01)09501101530004", 400, "its check digit would be 3"),
    ],
)
def test_what_cannot_be_traced_is_a_problem_that_says_why(brewhouse, text, status, words):
    answer = signed_in(brewhouse, "quality").get("/api/v1/trace-searches/", {"q": text})
    assert (answer.status_code, answer["Content-Type"]) == (status, "application/problem+json")
    assert words in answer.json()["detail"]


@pytest.mark.usefixtures("whole_chain")
def test_a_label_of_packaged_beer_or_of_a_pallet_is_traced(brewhouse):
    keg = brewhouse.material("KEG50")
    add_trade_item(gtin="09521234500025", material=keg, **brewhouse.by("administration"))
    desk = signed_in(brewhouse, "quality")
    told = desk.get("/api/v1/trace-searches/", {"q": "]C1010952123450002510KEG1"}).json()
    assert told["start"]["q"] == "lot:KEG1"
    pallet = make_pallet(stands_in=brewhouse.place("COLD"), made_at=at(330), **brewhouse.by("receiving"))
    brewhouse.move("KEG1", "COLD", pallet.location.code, "2 each", hours=331)
    told = desk.get("/api/v1/trace-searches/", {"q": f"]C100{pallet.sscc}"}).json()
    assert told["start"]["q"] == f"place:{pallet.location.code}"
    assert "KEG1" in [row["lot"] for row in told["lots"] if row["way"] == "start"]
