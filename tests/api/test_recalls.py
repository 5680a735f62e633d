"""Recalls over the API: opened, shown as they stand, worked on until all is settled, closed."""

import pytest

from tests.api.client import Api, problem_of

OPENED = {"lots": ["M1"], "hazard": "glass in the malt", "is_mock": True}


def none_of(unit: str) -> dict[str, str]:
    return {"quantity": "0", "unit": unit}


@pytest.mark.usefixtures("whole_chain")
def test_a_recall_is_worked_on_until_all_is_settled_and_closed(api: Api):
    number = api.post("recalls/", OPENED, "quality").json()["id"]
    told = api.get(f"recalls/{number}/", "quality").json()
    keg = next(row for row in told["lots"] if row["lot"] == "KEG1")
    assert (keg["made"], keg["at_customers"], keg["back"]) == (
        {"quantity": "10", "unit": "each"},
        {"quantity": "3", "unit": "each"},
        {"quantity": "1", "unit": "each"},
    )
    assert {one["percent"] for one in told["reconciled"]} == {"100.000"}
    assert "no legal notice" in told["caution"]
    problem = problem_of(api.post("recall-closings/", {"recall": number}, "quality"), 409)
    assert problem["code"] == "recall_still_open"
    lots = [{"lot": "KEG1", "holds": {"quantity": "3", "unit": "each"}, "gone": none_of("each")}]
    check = {"recall": number, "customer": "INN", "is_reached": True, "spoke_with": "the landlord", "lots": lots}
    assert api.post("recall-checks/", check, "quality").status_code == 201
    for task in told["tasks"]:
        assert api.post("recall-task-ends/", {"task": task["id"]}, "quality").status_code == 201
    api.post("recall-classes/", {"recall": number, "value": "II", "reason": "small splinters"}, "quality")
    api.post("recall-notes/", {"recall": number, "text": "the press has not rung"}, "quality")
    assert api.get(f"recalls/{number}/", "quality").json()["open_points"] == []
    assert api.post("recall-closings/", {"recall": number}, "quality").json()["open_points"] == []
    assert api.get("recalls/?is_open=true", "quality").json()["results"] == []
    problem_of(api.post("recall-tasks/", {"recall": number, "words": "ring"}, "quality"), 409)


def test_what_a_recall_cannot_take_is_refused_by_field(api: Api):
    api.house.stock_up()
    for change, field in (({"hazard": ""}, "hazard"), ({"lots": []}, "lines"), ({"follow": ["air"]}, "follow")):
        problem = problem_of(api.post("recalls/", {**OPENED, **change}, "quality"), 400)
        assert [fault["field"] for fault in problem["errors"]] == [field]


@pytest.mark.usefixtures("whole_chain")
def test_the_report_is_handed_out_in_three_forms_and_of_no_other_recall(api: Api):
    number = api.post("recalls/", OPENED, "quality").json()["id"]
    for form, starts, name in (("document", b"%PDF-", "pdf"), ("workbook", b"PK", "xlsx"), ("tables", b"PK", "zip")):
        answer = api.get(f"recalls/{number}/report/{form}/")
        assert (answer.status_code, answer.content[: len(starts)]) == (200, starts)
        assert f"mock-recall-{number}.{name}" in answer["Content-Disposition"]
        problem_of(api.get(f"recalls/{number + 1}/report/{form}/"), 404)
