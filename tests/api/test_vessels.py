"""Vessels, cleanings and service marks over the API."""

from tests.api.client import Api, problem_of
from tests.api.test_lists import queries_of, rows
from tests.brewhouse import at
from tests.standing import built_once

R, B, A = "receiving", "brewing", "administration"


@built_once
def stocked(api: Api) -> Api:
    """T1 lay in FV1 until it went to BT1; FV2 holds T2."""
    house = api.house
    house.stock_up()
    house.ferment()
    house.ferment(number=2, vessel="FV2", hours=20)
    house.transfer("FV1", "BT1", "1000 L", hours=100)
    return api


def cleaned(hours: float = 110) -> dict[str, str]:
    return {"vessel": "FV1", "programme": "caustic and acid", "happened_at": at(hours).isoformat()}


def test_the_list_says_what_every_vessel_is(stocked: Api):
    told = {row["code"]: row for row in rows(stocked.get("vessels/"))}
    assert {code: row["state"] for code, row in told.items()} == {
        "BRINK1": "empty",
        "BT1": "in_use",
        "FV1": "empty",
        "FV2": "in_use",
        "SILO1": "in_use",
        "SILO2": "empty",
    }
    assert told["FV1"]["lay_last"]["lot"] == "T1"
    assert [one["lot"] for one in told["FV2"]["contents"]] == ["T2"]
    assert told["FV2"]["room"] == {"quantity": "3000", "unit": "L"}
    assert [row["code"] for row in rows(stocked.get("vessels/", kind="brink"))] == ["BRINK1"]


def test_the_list_asks_for_all_vessels_together(stocked: Api):
    assert queries_of(stocked, "vessels/") == queries_of(stocked, "vessels/?kind=fermenter")


def test_one_vessel_tells_what_lay_in_it(stocked: Api):
    told = stocked.get("vessels/FV1/occupations/").json()
    assert [(row["lot"], row["until"] is None) for row in told] == [("W1", False), ("T1", False)]
    assert problem_of(stocked.get("vessels/STORE/occupations/"), 404)["code"] == "not_found"


def test_a_cleaning_is_recorded_listed_and_withdrawn(stocked: Api):
    done = stocked.post("cleanings/", cleaned(), R).json()
    assert (done["vessel"], done["programme"], done["withdraws"]) == ("FV1", "caustic and acid", None)
    (row,) = rows(stocked.get("vessels/", code="FV1"))
    assert (row["state"], row["programme"]) == ("clean", "caustic and acid")
    undone = stocked.post("cleaning-withdrawals/", {"cleaning": done["id"], "reason": "it was FV2"}, B).json()
    assert (undone["withdraws"], undone["remark"]) == (done["id"], "it was FV2")
    assert [row["id"] for row in rows(stocked.get("cleanings/", vessel="FV1"))] == [undone["id"], done["id"]]
    again = problem_of(stocked.post("cleaning-withdrawals/", {"cleaning": done["id"], "reason": "again"}, B), 409)
    assert again["code"] == "cleaning_withdrawn"


def test_a_vessel_is_taken_out_of_service_and_put_back(stocked: Api):
    mark = {"vessel": "FV1", "is_out": True, "reason": "the manway leaks", "happened_at": at(110).isoformat()}
    assert stocked.post("service-marks/", mark, B).json()["is_out"] is True
    (row,) = rows(stocked.get("vessels/", code="FV1"))
    assert row["state"] == "out_of_service"
    back = {**mark, "is_out": False, "reason": "repaired", "happened_at": at(111).isoformat()}
    assert stocked.post("service-marks/", back, B).json()["is_out"] is False
    assert [row["is_out"] for row in rows(stocked.get("service-marks/"))] == [False, True]


def test_whether_a_vessel_must_be_cleaned_is_set_by_who_keeps_the_registers(stocked: Api):
    answer = stocked.post("cleaning-rules/", {"vessel": "SILO1", "must_be_cleaned": True}, A).json()
    assert (answer["code"], answer["must_be_cleaned"]) == ("SILO1", True)
    problem_of(stocked.post("cleaning-rules/", {"vessel": "STORE", "must_be_cleaned": True}, A), 400)


def test_a_transfer_into_an_uncleaned_tank_is_told_which_field_is_missing(stocked: Api):
    asked = {
        "happened_at": at(110).isoformat(),
        "from_vessel": "FV2",
        "to_vessel": "FV1",
        "quantity": "4",
        "unit": "hL",
    }
    problem = problem_of(stocked.post("transfers/", asked, B), 409)
    assert problem["code"] == "vessel_not_clean"
    answer = stocked.post("transfers/", {**asked, "contents_code": "U1", "unclean_reason": "in haste"}, B)
    assert answer.status_code == 201
