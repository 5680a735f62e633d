"""Certificates, specifications, decisions on many lots and allergens through the API."""

import base64
import hashlib
from typing import Any

import pytest

from inventory.models import Material
from tests.api.client import Api, fields_of, problem_of
from tests.brewhouse import at
from tests.inventory.papers import PDF
from tests.standing import built_once

R, Q, A = "receiving", "quality", "administration"
MOISTURE: dict[str, Any] = {
    "material": "MUNICH",
    "property": "moisture",
    "most": "5",
    "in_force_from": "2026-01-01",
    "source": "contract 12",
}
CERTIFICATE: dict[str, Any] = {
    "lot": "M1",
    "number": "A-7",
    "laboratory": "Stowfield",
    "issued_on": "2026-02-27",
    "values": [
        {"property": "moisture", "value": "4.5", "method": "EBC 4.2"},
        {"property": "ochratoxin_a", "value": "< 0.1"},
    ],
}


@built_once
def munich(api: Api) -> Api:
    """Munich malt waits for a certificate; M1 and M2 are there."""
    api.house.deliver("MUNICH", "M1", "500 kg")
    api.house.deliver("MUNICH", "M2", "500 kg", note="2")
    assert api.post("specifications/", MOISTURE, Q).status_code == 201
    return api


def test_a_certificate_is_entered_judged_listed_and_shown(munich: Api):
    paper = {"name": "coa.pdf", "content": base64.b64encode(PDF).decode()}
    entered = munich.post("certificates/", CERTIFICATE | {"file": paper}, R)
    assert entered.status_code == 201
    told = entered.json()
    assert told["values"][1] == {
        "property": "ochratoxin_a",
        "name": "Ochratoxin A",
        "value": "< 0.1",
        "unit": "µg/kg",
        "method": "",
    }
    assert told["findings"] == [
        {"property": "moisture", "value": "4.5 %", "limits": "at most 5 %", "verdict": "within limits"},
        {"property": "ochratoxin_a", "value": "< 0.1 µg/kg", "limits": "", "verdict": "within limits"},
    ]
    assert told["disposition"] == "released"
    assert [file["sha256"] for file in told["files"]] == [hashlib.sha256(PDF).hexdigest()]
    assert munich.get(f"certificates/{told['id']}/").json() == told
    (listed,) = munich.get("certificates/", lot="M1").json()["results"]
    assert listed == {name: value for name, value in told.items() if name not in ("findings", "disposition")}
    assert munich.get("certificates/", lot="M2").json()["results"] == []


def test_a_correction_names_what_it_corrects_and_the_list_tells_them_apart(munich: Api):
    wrong = {**CERTIFICATE, "values": [{"property": "moisture", "value": "45"}]}
    first = munich.post("certificates/", wrong, R).json()
    assert first["disposition"] == "quarantined"
    second = munich.post("certificates/", CERTIFICATE | {"replaces": first["id"]}, R).json()
    assert (second["replaces"], second["disposition"]) == (first["id"], "released")
    assert munich.get(f"certificates/{first['id']}/").json()["replaced_by"] == second["id"]
    assert [row["id"] for row in munich.get("certificates/", is_replaced="true").json()["results"]] == [first["id"]]
    assert [row["id"] for row in munich.get("certificates/", is_replaced="false").json()["results"]] == [second["id"]]


def test_figures_that_do_not_agree_are_doubted_in_the_answer(munich: Api):
    values = [("moisture", "4.2"), ("extract_fine_dry", "81.5"), ("extract_fine_as_is", "81.5")]
    body = CERTIFICATE | {"values": [{"property": name, "value": value} for name, value in values]}
    (doubt,) = munich.post("certificates/", body, R).json()["doubts"]
    assert doubt.startswith("Extract of 81.5 % dry basis at 4.2 % moisture is 78.1 % as-is")


def test_what_is_wrong_with_a_certificate_is_told_by_field(munich: Api):
    values = [{"property": "moisture", "value": "4,5"}, {"property": "alpha", "value": "6"}]
    problem = problem_of(munich.post("certificates/", CERTIFICATE | {"values": values}, R), 400)
    assert fields_of(problem) == ["values[0].value", "values[1].property"]
    problem = problem_of(munich.post("certificates/", CERTIFICATE | {"file": {"name": "x", "content": "%"}}, R), 400)
    assert fields_of(problem) == ["file.content"]
    paper = {"name": "coa.pdf", "content": base64.b64encode(b"MZ").decode()}
    assert problem_of(munich.post("certificates/", CERTIFICATE | {"file": paper}, R), 400)["code"] == "unknown_file"


def test_specifications_are_set_listed_and_withdrawn(munich: Api):
    withdrawn = {"material": "MUNICH", "property": "moisture", "is_withdrawn": True, "in_force_from": "2026-05-01"}
    assert munich.post("specifications/", withdrawn, A).json()["limits"] == "asked for no longer"
    rows = munich.get("specifications/", material="MUNICH", property="moisture").json()["results"]
    assert [(row["least"], row["most"], row["limits"], row["actor"]) for row in rows] == [
        (None, None, "asked for no longer", "administration"),
        (None, "5", "at most 5 %", "quality"),
    ]
    finer = MOISTURE | {"most": "5.0000001"}
    assert fields_of(problem_of(munich.post("specifications/", finer, Q), 400)) == ["most"]
    assert fields_of(problem_of(munich.post("specifications/", MOISTURE | {"most": 5}, Q), 400)) == ["most"]


def test_many_lots_are_decided_on_and_the_answer_names_each(munich: Api):
    body = {
        "happened_at": at(1).isoformat(),
        "lots": [{"lot": "M1", "seen": "quarantined"}, {"lot": "M2"}],
        "decision": "released",
        "reason": "tasted",
    }
    made = munich.post("bulk-decisions/", body, Q).json()["decisions"]
    assert [(one["lot"], one["before"], one["decision"], one["reason"]) for one in made] == [
        ("M1", "quarantined", "released", "tasted"),
        ("M2", "quarantined", "released", "tasted"),
    ]
    problem = problem_of(munich.post("bulk-decisions/", body, Q), 409)
    assert (problem["code"], fields_of(problem)) == ("not_decided", ["lots[0].lot"])
    assert "Lot M1 was quarantined when you looked and is released now." in problem["errors"][0]["detail"]


def test_a_material_is_set_up_and_shown_with_its_settings(api: Api):
    seen = api.get("materials/PILS/").json()
    assert (seen["delivery_tolerance_pct"], seen["warmest_arrival_c"], seen["claims"]) == ("2", None, [])
    body = {
        "material": "PILS",
        "version": seen["version"],
        "delivery_tolerance_pct": "0.5",
        "warmest_arrival_c": "-1.5",
        "allergens": ["barley"],
    }
    told = api.post("material-settings/", body, Q).json()
    assert (told["delivery_tolerance_pct"], told["warmest_arrival_c"]) == ("0.5", "-1.5")
    assert told["allergens"] == ["barley"]
    assert told["version"] != seen["version"]
    assert api.get("materials/PILS/").json() == told
    assert problem_of(api.post("material-settings/", body, Q), 409)["code"] == "settings_changed"
    claims = {"material": "PILS", "version": told["version"], "claims": ["gluten_free"]}
    problem = problem_of(api.post("material-settings/", claims, Q), 409)
    assert (problem["code"], fields_of(problem)) == ("material_contradicts", ["claims"])


@pytest.mark.usefixtures("whole_chain")
def test_a_malt_of_which_no_allergen_is_on_record_leaves_the_claims_open(api: Api):
    told = api.get("allergens/", lot="KEG1").json()
    assert (told["allergens"], told["without_record"]) == ([], ["PILS"])
    assert {(one["is_contradicted"], one["is_open"]) for one in told["claims"]} == {(False, True)}


def test_the_allergens_of_a_lot_are_told_with_their_lots_and_a_caution(api: Api):
    Material.objects.filter(code="PILS").update(allergens=["barley"])
    Material.objects.filter(code="CASCADE").update(allergens=["fish"], allergens_exempt_in_eu=["fish"])
    api.house.whole_chain()
    Material.objects.filter(code="KEG50").update(claims=["gluten_free"])
    told = api.get("allergens/", lot="KEG1").json()
    assert told["allergens"] == [
        {"allergen": "barley", "name": "barley", "by": "ingredient", "is_exempt_in_eu": False, "lots": ["M1"]},
        {"allergen": "fish", "name": "fish", "by": "ingredient", "is_exempt_in_eu": True, "lots": ["H2"]},
    ]
    assert (told["named_in_eu"], told["named_in_us"]) == (["cereals containing gluten"], ["fish"])
    assert told["claims"][0] == {
        "claim": "gluten_free",
        "is_made": True,
        "is_contradicted": True,
        "is_open": False,
        "because": "lot M1 (Pilsner malt) carries barley",
    }
    assert told["without_record"] == []
    assert "Check with the local code" in told["caution"]
    assert problem_of(api.get("allergens/", lot="NONE"), 404)["code"] == "not_found"
    problem = problem_of(
        api.post(
            "decisions/",
            {"happened_at": at(500).isoformat(), "lot": "KEG1", "decision": "released", "reason": "x"},
            Q,
        ),
        409,
    )
    assert problem["code"] == "claims_contradicted"
    assert "Lot KEG1 cannot be called gluten-free" in problem["errors"][0]["detail"]
