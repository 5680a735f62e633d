"""Jobs over the API."""

from tests.api.client import Api, problem_of


def test_a_job_of_the_schedule_is_asked_for_and_listed(api: Api):
    asked = api.post("jobs/", {"name": "prove_record"}, "administration")
    assert (asked.status_code, asked.json()["state"]) == (201, "waiting")
    (job,) = api.get("jobs/?name=prove_record&state=waiting", "auditor").json()["results"]
    assert job["id"] == asked.json()["id"]
    problem = problem_of(api.post("jobs/", {"name": "brew_beer"}, "administration"), 400)
    assert [error["field"] for error in problem["errors"]] == ["name"]
