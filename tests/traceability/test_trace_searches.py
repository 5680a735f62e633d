"""The trace page's answer over the API."""

from tests.signing import signed_in


def test_the_api_answers_what_the_page_does_or_asks_what_is_meant(brewhouse):
    brewhouse.whole_chain()
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
    assert "zz" in desk.get("/api/v1/trace-searches/?q=zz").json()["fault"]
    assert desk.get("/api/v1/trace-searches/").status_code == 400
