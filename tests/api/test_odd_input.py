"""What nobody sends on purpose: malformed JSON, NUL, huge numbers, floats, naive times, the wrong kinds of thing."""

import json
from typing import Any

import pytest

from inventory.models import Event
from tests.api.chain import DELIVERY, MATERIAL, MOVE, PACKAGING
from tests.api.client import Api, fields_of, problem_of
from tests.standing import built_once


@built_once
def stocked(api: Api) -> Api:
    """Raw materials are in stock."""
    api.house.stock_up()
    return api


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "{'lot': 1}",
        '{"quantity": NaN}',
        '{"quantity": Infinity}',
        '{"lot": "H1", "lot": "H2"}',
        b"\xff\xfe{}",
        b'{"lot": "\xc3\x28"}',
        "[" * 100_000,
        '{"quantity": ' + "9" * 5_000 + "}",
        "\ufeff{}",
        '{"lot": "\\ud800"}',
        '{"lot": "\\uDFFF\\ud83d"}',
        '{"\\udfff": "H1"}',
    ],
    ids=lambda text: str(text[:12]),
)
def test_a_body_that_is_not_json_is_refused(stocked: Api, text: str | bytes):
    problem = problem_of(stocked.post_text("moves/", text, "receiving"), 400)
    assert problem["code"] in {"parse_error", "invalid_input"}


def test_a_character_of_two_halves_is_one_character(api: Api):
    text = json.dumps(MATERIAL | {"name": "Weizen 🌾"})  # written as \\ud83c\\udf3e
    answer = api.post_text("materials/", text, "administration")
    assert answer.json()["name"] == "Weizen 🌾"


@pytest.mark.parametrize("kind", ["spice", "malt\x00", 7, 1e308, None, [], {}])
def test_a_kind_that_is_none_is_refused_by_name(api: Api, kind: Any):
    assert fields_of(problem_of(api.post("materials/", MATERIAL | {"kind": kind}, "administration"), 400)) == ["kind"]


def test_a_number_beyond_all_numbers_is_refused_by_name(api: Api):
    text = json.dumps(MATERIAL).replace('"malt"', "1e400")
    assert fields_of(problem_of(api.post_text("materials/", text, "administration"), 400)) == ["kind"]


@pytest.mark.parametrize("text", ["[]", "7", '"lot"', "null", "true", "[{}]"])
def test_a_body_that_is_no_object_is_refused(stocked: Api, text: str):
    assert problem_of(stocked.post_text("moves/", text, "receiving"), 400)["code"] == "invalid_input"


def test_a_body_larger_than_a_request_may_be_is_refused(stocked: Api):
    text = '{"reason": "' + "x" * 3_000_000 + '"}'
    assert problem_of(stocked.post_text("moves/", text, "receiving"), 413)["code"] == "too_large"


@pytest.mark.parametrize("content_type", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", ""])
def test_a_body_of_another_kind_is_refused(stocked: Api, content_type: str):
    answer = stocked.post_text("moves/", "lot=H1", "receiving", content_type)
    assert problem_of(answer, 415)["code"] == "unsupported_media_type"


@pytest.mark.parametrize(
    "quantity",
    [
        5,
        5.5,
        True,
        None,
        [],
        {},
        "",
        " ",
        "5,5",
        "1e999",
        "NaN",
        "Infinity",
        "0x10",
        "٥",
        "1_000",
        "--5",
        "9" * 61,
        "0",
        "-5",
        "0.0000001",
        "9999999999999",
        "5\x00",
    ],
)
def test_a_quantity_that_is_none_is_refused_by_name(stocked: Api, quantity: Any):
    events = Event.objects.count()
    assert fields_of(problem_of(stocked.post("moves/", MOVE | {"quantity": quantity}, "receiving"), 400)) == [
        "quantity"
    ]
    assert Event.objects.count() == events


def test_a_quantity_that_is_more_than_there_ever_was_is_a_refusal_of_the_record(stocked: Api):
    problem = problem_of(stocked.post("moves/", MOVE | {"quantity": "4000000000"}, "receiving"), 409)
    assert problem["code"] == "not_enough_there"


@pytest.mark.parametrize("name", ["lot", "from_location", "to_location"])
@pytest.mark.parametrize("code", [7, 7.5, True, None, [], {}, "", "x" * 41, "NO-SUCH", "H1\x00", "' OR 1=1"])
def test_a_code_that_names_nothing_is_refused_by_name(stocked: Api, name: str, code: Any):
    assert fields_of(problem_of(stocked.post("moves/", MOVE | {name: code}, "receiving"), 400)) == [name]


@pytest.mark.parametrize(
    "moment",
    [
        "2026-03-02T08:00:00",
        "2026-03-02",
        "2026-03-02 08:00",
        "2026-02-30T08:00:00Z",
        "0001-01-01T00:00:00+14:00",
        "9999-12-31T23:59:59-14:00",
        "1700-01-01T00:00:00Z",
        "now",
        1772438400,
        1.5,
        None,
        [],
        "\x00",
    ],
)
def test_a_moment_without_its_offset_or_beyond_any_record_is_refused(stocked: Api, moment: Any):
    assert fields_of(problem_of(stocked.post("moves/", MOVE | {"happened_at": moment}, "receiving"), 400)) == [
        "happened_at"
    ]


def test_a_naive_moment_is_told_how_to_be_written(stocked: Api):
    answer = stocked.post("moves/", MOVE | {"happened_at": "2026-03-02T08:00:00"}, "receiving")
    assert "2026-03-02T08:00:00+01:00" in problem_of(answer, 400)["detail"]


def test_an_offset_is_read_as_the_moment_it_is(stocked: Api):
    answer = stocked.post("moves/", MOVE | {"happened_at": "2026-03-02T12:30:00+02:00"}, "receiving")
    assert answer.json()["happened_at"] == "2026-03-02T10:30:00Z"


@pytest.mark.parametrize("lines", [None, {}, "H1", 7, [None], [7], [[]], [{}] * 3])
def test_lines_that_are_none_are_refused(stocked: Api, lines: Any):
    problem = problem_of(stocked.post("deliveries/", DELIVERY | {"lines": lines}, "receiving"), 400)
    assert all(field.startswith("lines") for field in fields_of(problem))


@pytest.mark.parametrize("count", [0, -1, 1.5, "many", 10**30, None, True, [], 2_000_000_000])
def test_a_count_that_is_none_is_refused(stocked: Api, count: Any):
    problem = problem_of(stocked.post("packagings/", PACKAGING | {"count": count}, "brewing"), 400)
    assert "count" in fields_of(problem)


@pytest.mark.parametrize("generation", [0, -1, 1000, 10**30, "one", 1.5])
def test_a_generation_that_is_none_is_refused(api: Api, generation: Any):
    lines = [DELIVERY["lines"][2] | {"generation": generation}]
    problem = problem_of(api.post("deliveries/", DELIVERY | {"lines": lines}, "receiving"), 400)
    assert fields_of(problem) == ["lines[0].generation"]


@pytest.mark.parametrize("event", [0, -1, 10**30, "1", 1.0, True, None, [], {}])
def test_an_event_that_is_none_is_refused(api: Api, event: Any):
    problem = problem_of(api.post("reversals/", {"event": event, "reason": "x"}, "receiving"), 400)
    assert fields_of(problem) == ["event"]


@pytest.mark.parametrize("name", ["", "   ", None, 5, "x" * 121, "a\x00b", []])
def test_a_name_that_is_none_is_refused(api: Api, name: Any):
    assert fields_of(problem_of(api.post("materials/", MATERIAL | {"name": name}, "administration"), 400)) == ["name"]


def test_a_reason_longer_than_a_few_words_is_refused_and_shown_in_part(stocked: Api):
    problem = problem_of(stocked.post("moves/", MOVE | {"reason": "x" * 2_001}, "receiving"), 400)
    assert problem["errors"][0]["value"] == "x" * 60 + "…"


def test_a_member_that_the_request_does_not_know_is_refused(stocked: Api):
    problem = problem_of(stocked.post("moves/", MOVE | {"resaon": "tidying"}, "receiving"), 400)
    assert fields_of(problem) == ["resaon"]


def test_a_member_of_a_line_that_the_request_does_not_know_is_refused(stocked: Api):
    lines = [DELIVERY["lines"][0], DELIVERY["lines"][1] | {"best_befor": "2028-01-31"}]
    problem = problem_of(stocked.post("deliveries/", DELIVERY | {"lines": lines}, "receiving"), 400)
    assert fields_of(problem) == ["lines[1].best_befor"]


def test_a_read_with_a_body_is_answered_by_its_parameters(stocked: Api):
    client = stocked.client("auditor")
    answer = client.generic("GET", "/api/v1/lots/?kind=spice", "{", content_type="application/json")
    assert problem_of(answer, 400)["errors"][0]["value"] == "spice"
