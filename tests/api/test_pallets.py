"""Pallets through the API: made, loaded, moved, taken apart, shipped."""

from typing import Any

from tests.api.chain import line, moment
from tests.api.client import Api, fields_of, problem_of
from tests.standing import built_once

R = "receiving"
NEXT, AFTER_IT = "095212340000000013", "095212340000000020"


@built_once
def stocked(api: Api) -> Api:
    """Raw materials lie in the stores, and an empty pallet stands in the dry store."""
    api.house.stock_up()
    assert api.post("pallets/", {"stands_in": "STORE", "made_at": moment(1)}, R).status_code == 201
    return api


def load(api: Api, *lines: dict[str, Any], hours: float = 2) -> Any:
    return api.post("pallet-loads/", {"happened_at": moment(hours), "pallet": NEXT, "lines": list(lines)}, R)


def test_a_pallet_shows_where_it_stands_what_is_on_it_and_where_it_has_been(stocked: Api):
    assert load(stocked, line("H1", "STORE", "7.5"), line("H2", "STORE", "20")).status_code == 201
    move = {"happened_at": moment(3), "pallet": NEXT, "to_location": "COLD"}
    moved = stocked.post("pallet-moves/", move, R)
    assert moved.status_code == 201
    pallet = stocked.get(f"pallets/{NEXT}/").json()
    assert (pallet["sscc"], pallet["stands_in"]) == (NEXT, "COLD")
    assert pallet["contents"] == [
        {"lot": "H1", "material": "SAAZ", "quantity": "7.5", "unit": "kg"},
        {"lot": "H2", "material": "CASCADE", "quantity": "20", "unit": "kg"},
    ]
    assert pallet["moves"] == [moved.json()]
    assert {name: moved.json()[name] for name in ("from_location", "to_location", "actor")} == {
        "from_location": "STORE",
        "to_location": "COLD",
        "actor": "receiving",
    }


def test_pallets_are_narrowed_by_place_lot_and_whether_they_hold_something(stocked: Api):
    stocked.post("pallets/", {"stands_in": "COLD", "made_at": moment(1)}, R)
    load(stocked, line("H1", "STORE", "1"))

    def found(**query: str) -> list[str]:
        return [row["sscc"] for row in stocked.get("pallets/", **query).json()["results"]]

    assert found() == [AFTER_IT, NEXT]
    assert found(stands_in="COLD") == [AFTER_IT]
    assert (found(lot="H1"), found(lot="H2")) == ([NEXT], [])
    assert (found(holds_something="true"), found(holds_something="false")) == ([NEXT], [AFTER_IT])


def test_all_of_it_or_some_of_it_comes_off(stocked: Api):
    load(stocked, line("H1", "STORE", "7.5"), line("H2", "STORE", "20"))
    some = {"happened_at": moment(3), "pallet": NEXT, "lines": [line("H1", NEXT, "500", "g")], "to_location": "COLD"}
    assert stocked.post("pallet-unloads/", some, R).status_code == 201
    assert [row["quantity"] for row in stocked.get(f"pallets/{NEXT}/").json()["contents"]] == ["7", "20"]
    none = {"happened_at": moment(4), "pallet": NEXT, "lines": []}
    assert fields_of(problem_of(stocked.post("pallet-unloads/", none, R), 400)) == ["lines"]
    rest = stocked.post("pallet-unloads/", {"happened_at": moment(4), "pallet": NEXT}, R)
    assert rest.status_code == 201
    assert {posting["to_location"] for posting in rest.json()["postings"]} == {"STORE"}
    assert stocked.get(f"pallets/{NEXT}/").json()["contents"] == []


def test_what_is_wrong_is_told_by_field_and_code(stocked: Api):
    wrong = {"stands_in": "STORE", "made_at": moment(1), "sscc": "376104250021234568"}
    assert fields_of(problem_of(stocked.post("pallets/", wrong, R), 400)) == ["sscc"]
    tank = {"happened_at": moment(2), "pallet": NEXT, "to_location": "FV1"}
    problem = problem_of(stocked.post("pallet-moves/", tank, R), 400)
    assert (problem["code"], fields_of(problem)) == ("wrong_place", ["to_location"])
    unknown = tank | {"pallet": AFTER_IT}
    assert fields_of(problem_of(stocked.post("pallet-moves/", unknown, R), 400)) == ["pallet"]
    early = {"happened_at": moment(0.5), "pallet": NEXT, "to_location": "COLD"}
    assert problem_of(stocked.post("pallet-moves/", early, R), 409)["code"] == "pallet_moved_later"
    assert problem_of(load(stocked, line("H1", "STORE", "100")), 409)["code"] == "not_enough_there"
    raw = {"happened_at": moment(3), "customer": "INN", "note_number": "S-1", "pallet": NEXT}
    assert problem_of(stocked.post("pallet-shipments/", raw, R), 400)["code"] == "nothing_to_do"


def test_a_list_of_pallets_asks_as_often_for_many_as_for_one(stocked: Api, django_assert_num_queries: Any):
    """The pallets, what lies on them, their moves; who asks is known from the first time on."""
    load(stocked, line("H1", "STORE", "1"))
    assert stocked.get("pallets/").status_code == 200
    for more in (0, 8):
        for number in range(more):
            made = stocked.post("pallets/", {"stands_in": "COLD", "made_at": moment(1)}, R).json()
            body = {"happened_at": moment(2), "pallet": made["sscc"], "lines": [line("H2", "STORE", str(number + 1))]}
            stocked.post("pallet-loads/", body, R)
        with django_assert_num_queries(3):
            assert stocked.get("pallets/").status_code == 200
