"""A whole chain, from the register to a customer's return, recorded by requests alone."""

import json
import uuid

from brewery.kernel.models import Request
from tests.api.chain import CHAIN
from tests.api.client import Api, fields_of, problem_of
from tests.brewhouse import micro


def test_every_step_of_a_chain_is_recorded_and_answers_201(api: Api):
    for address, role, body in CHAIN:
        answer = api.post(address, body, role)
        assert answer.status_code == 201, (address, answer.content)
    # 10 packaged, 4 shipped and 1 of them back, 2 on a pallet and 1 of them back
    assert api.house.held("KEG1", "COLD") == micro("6 each")
    assert api.house.held("KEG1", "customer:MARKET") == micro("1 each")
    assert api.house.held("KEG1", "customer:INN") == micro("3 each")
    assert api.house.held("M1", "SILO1") == micro("800 kg")
    assert api.house.held("Y2", "BRINK1") == micro("22 kg")
    # 20 kg, less 100 g to the laboratory, a pound destroyed, 2 kg brewed and 3 kg in the tank; 5 kg were moved
    assert api.house.held("H1", "STORE") == micro("20 kg") - micro("10.1 kg") - micro("1 lb")


def test_a_repeated_request_has_the_same_answer_and_happens_once(api: Api):
    for address, role, body in CHAIN:
        key = uuid.uuid4()
        first, second = api.post(address, body, role, key), api.post(address, body, role, key)
        assert (first.status_code, second.status_code) == (201, 201), (address, second.content)
        assert json.loads(first.content) == json.loads(second.content)
    assert api.house.held("KEG1", "COLD") == micro("6 each")
    assert Request.objects.filter(action="draw_for").count() == 2


def test_every_step_needs_a_key_and_each_of_its_required_members(api: Api):
    for address, role, body in CHAIN:
        assert problem_of(api.post(address, body, role, key=None), 400)["code"] == "idempotency_key_missing"
        nothing = problem_of(api.post(address, {}, role), 400)
        assert {fault["code"] for fault in nothing["errors"]} == {"required"}
        for member in fields_of(nothing):
            without = {name: value for name, value in body.items() if name != member}
            assert fields_of(problem_of(api.post(address, without, role), 400)) == [member]
        assert api.post(address, body, role).status_code == 201
