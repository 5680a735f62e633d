"""Each write is refused for its own reasons, in the record's words, and then nothing of it is on record."""

from collections.abc import Callable
from typing import Any

import pytest

from brewery.kernel.models import User
from inventory.models import Event, Lot
from tests.api import chain
from tests.api.chain import CHAIN, Body, line, moment, named
from tests.api.client import Api, problem_of

BY_ADDRESS = {address: (role, body) for address, role, body in reversed(CHAIN)}

REFUSALS: tuple[tuple[str, Body, int, str, str], ...] = (
    # address, what is other than in the chain, status, code, the field that is named
    ("materials/", {"code": "PILS"}, 400, "invalid_input", "code"),
    ("materials/", {"kind": "packaged", "base_unit": "each"}, 400, "invalid_input", "contents"),
    ("materials/", {"contents": named("50", "L")}, 400, "invalid_input", "contents"),
    ("parties/", {"code": "INN"}, 400, "invalid_input", "code"),
    ("locations/", {"code": "FV1"}, 400, "invalid_input", "code"),
    ("locations/", {"kind": "silo"}, 400, "invalid_input", "filling"),
    ("locations/", {"kind": "silo", "filling": "mixed", "band": named("50", "kg")}, 400, "invalid_input", "band"),
    ("locations/", {"kind": "customer"}, 400, "invalid_input", "kind"),
    ("purchase-orders/", {"lines": []}, 400, "nothing_to_do", "lines"),
    ("purchase-orders/", {"supplier": "INN"}, 400, "invalid_input", "supplier"),
    ("order-closures/", {"reason": ""}, 400, "reason_missing", "reason"),
    ("order-closures/", {"order": "PO-2"}, 400, "invalid_input", "order"),
    ("deliveries/", {"lines": []}, 400, "nothing_to_do", "lines"),
    ("deliveries/", {"happened_at": "2199-01-01T00:00:00Z"}, 400, "in_the_future", "happened_at"),
    ("deliveries/", {"lines": [chain.delivered("PILS", "M9", "FV1", "1")]}, 400, "wrong_place", "location"),
    ("deliveries/", {"lines": [chain.delivered("PILS", "M 9", "STORE", "1")]}, 400, "invalid_input", "code"),
    ("deliveries/", {"lines": [chain.delivered("YEAST", "Y9", "COLD", "1")]}, 400, "invalid_input", "generation"),
    ("strain-settings/", {"material": "PILS"}, 400, "wrong_material", "material"),
    ("place-temperatures/", {"temperature_c": "90"}, 400, "invalid_input", "temperature_c"),
    ("moves/", {"quantity": "500"}, 409, "not_enough_there", "quantity"),
    ("moves/", {"to_location": "FV1"}, 400, "wrong_place", "to_location"),
    ("counts/", {"reason": ""}, 400, "reason_missing", "reason"),
    ("counts/", {"location": "LAB"}, 400, "wrong_place", "location"),
    ("samples/", {"laboratory": "STORE"}, 400, "wrong_place", "laboratory"),
    ("destructions/", {"reason": ""}, 400, "reason_missing", "reason"),
    ("destructions/", {"quantity": "50"}, 409, "not_enough_there", "quantity"),
    ("decisions/", {"reason": ""}, 400, "reason_missing", "reason"),
    ("decisions/", {"decision": "eaten"}, 400, "invalid_input", "decision"),
    ("reorder-settings/", {"service_pct": "100"}, 400, "invalid_input", "service"),
    ("supply-contracts/", {"ends_on": "2025-12-31"}, 400, "invalid_input", "ends_on"),
    ("supply-contracts/", {"supplier": "INN"}, 400, "invalid_input", "supplier"),
    ("order-drafts/", {"lines": []}, 400, "nothing_to_do", "lines"),
    ("supply-contract-closures/", {"reason": ""}, 400, "reason_missing", "reason"),
    ("climate-readings/", {"readings": []}, 400, "nothing_to_do", "lines"),
    ("climate-corrections/", {"logger": "T-9"}, 409, "nothing_read", "logger"),
    ("climate-corrections/", {"last_at": "2026-03-01T00:00:00Z"}, 400, "invalid_input", "last_at"),
    ("climate-limits/", {"most_c": "-1"}, 400, "invalid_input", "most_c"),
    ("climate-limits/", {"least_c": "-90"}, 400, "invalid_input", "least_c"),
    ("hop-packs/", {"since": "2199-01-01T00:00:00Z"}, 400, "in_the_future", "since"),
    ("hop-packs/", {"lot": "PILS"}, 400, "invalid_input", "lot"),
    ("hop-rates/", {"loss_pct": "100"}, 400, "invalid_input", "loss_pct"),
    ("hop-rates/", {"material": "SAAZ"}, 400, "invalid_input", "lot"),
    ("lot-costs/", {"currency": "eur"}, 400, "invalid_input", "currency"),
    ("reservations/", {"quantity": "500"}, 409, "not_free", "quantity"),
    ("reservations/", {"until": "2020-01-01"}, 400, "invalid_input", "until"),
    ("material-settings/", {"version": "0"}, 409, "settings_changed", "version"),
    ("material-settings/", {"claims": ["fresh"]}, 400, "invalid_input", "claims[0]"),
    ("specifications/", {"property": "moist"}, 400, "invalid_input", "property"),
    ("specifications/", {"least": "101"}, 400, "invalid_input", "least"),
    ("certificates/", {"values": []}, 400, "nothing_to_do", "lines"),
    ("certificates/", {"values": [{"property": "alpha", "value": "5,1"}]}, 400, "bad_certificate", "values[0].value"),
    ("certificate-files/", {"content": "bG90Cg=="}, 400, "bad_file", "file"),
    ("certificate-files/", {"content": "%"}, 400, "invalid_input", "content"),
    ("bulk-decisions/", {"lots": []}, 400, "nothing_to_do", "lines"),
    ("bulk-decisions/", {"lots": [{"lot": "H2", "seen": "on_hold"}]}, 409, "not_decided", "lots[0].lot"),
    ("bulk-decisions/", {"reason": ""}, 400, "reason_missing", "reason"),
    ("returns-to-suppliers/", {"lot": "H1"}, 409, "not_rejected", "lot"),
    ("returns-to-suppliers/", {"quantity": "6"}, 409, "not_enough_there", "quantity"),
    ("returns-to-suppliers/", {"reason": ""}, 400, "reason_missing", "reason"),
    ("brews/", {"beer": "WORT"}, 400, "wrong_material", "beer"),
    ("brews/", {"code": "FV1"}, 400, "invalid_input", "code"),
    ("draws/", {"lines": [line("H1", "COLD", "500")]}, 409, "not_enough_there", "quantity"),
    ("draws/", {"lines": []}, 400, "nothing_to_do", "lines"),
    ("draws/", {"into": "STORE"}, 400, "invalid_input", "into"),
    ("draws/", {"override_reason": "we need it"}, 403, "not_allowed", "override_reason"),
    ("returns-to-stock/", {"lines": [line("M1", "SILO1", "500")]}, 409, "not_enough_there", "quantity"),
    ("knock-outs/", {"wort_material": "LAGER"}, 400, "wrong_material", "wort_material"),
    ("knock-outs/", {"fills": []}, 400, "nothing_to_do", "lines"),
    ("knock-outs/", {"wort_code": "M1"}, 409, "lot_code_taken", "code"),
    ("knock-outs/", {"fills": [{"vessel": "FV1", "quantity": "90", "unit": "hL"}]}, 409, "over_capacity", "quantity"),
    ("pitches/", {"vessel": "BT1"}, 409, "vessel_empty", "vessel"),
    ("pitches/", {"yeasts": [line("H1", "COLD", "1")]}, 400, "wrong_material", "yeasts"),
    ("additions/", {"lines": []}, 400, "nothing_to_do", "lines"),
    ("additions/", {"vessel": "STORE"}, 400, "wrong_place", "vessel"),
    ("transfers/", {"contents_code": ""}, 400, "contents_code_missing", "contents_code"),
    ("transfers/", {"to_vessel": "FV2"}, 400, "invalid_input", "to_vessel"),
    ("transfers/", {"kind": "sprint"}, 400, "invalid_input", "kind"),
    ("harvests/", {"beer": named("20", "hL")}, 409, "more_than_the_tank_holds", "quantity"),
    ("harvests/", {"vessel": "FV2"}, 409, "no_yeast_in_it", "vessel"),
    ("harvests/", {"unit": "L"}, 400, "invalid_input", "unit"),
    ("harvests/", {"happened_at": chain.moment(120)}, 409, "harvest_too_early", "vessel"),
    ("harvests/", {"override_reason": "we need it"}, 403, "not_allowed", "override_reason"),
    ("propagations/", {"mother": line("Y2", "BRINK1", "1")}, 409, "no_origin", "mother"),
    ("propagations/", {"medium": []}, 400, "nothing_to_do", "lines"),
    ("propagations/", {"unit": "L"}, 400, "invalid_input", "unit"),
    ("yeast-counts/", {"viability": "112"}, 400, "invalid_input", "viability"),
    ("yeast-counts/", {"lot": "H1"}, 400, "wrong_material", "lot"),
    ("yeast-discards/", {"lot": "H1", "location": "STORE"}, 400, "wrong_material", "lot"),
    ("yeast-discards/", {"reason": ""}, 400, "reason_missing", "reason"),
    ("tank-readings/", {"readings": []}, 400, "invalid_input", "readings"),
    ("filtrations/", {"quantity": "90", "unit": "hL"}, 409, "more_than_the_tank_holds", "quantity"),
    ("filtrations/", {"aids": [line("H1", "COLD", "1")]}, 400, "wrong_material", "aids"),
    ("packaging-runs/", {"code": "B1"}, 400, "invalid_input", "code"),
    ("packagings/", {"count": 1000}, 409, "more_than_the_tank_holds", "quantity"),
    ("packagings/", {"count": 0}, 400, "invalid_input", "count"),
    ("packagings/", {"material": "LAGER"}, 400, "wrong_material", "material"),
    ("shipments/", {"lines": [line("H1", "COLD", "1")]}, 400, "wrong_material", "lot"),
    ("shipments/", {"lines": [line("KEG1", "COLD", "11", "each")]}, 409, "not_enough_there", "quantity"),
    ("customer-returns/", {"lines": [line("KEG1", "COLD", "5", "each")]}, 409, "not_enough_there", "quantity"),
    ("customer-returns/", {"reason": ""}, 400, "reason_missing", "reason"),
    ("trade-items/", {"gtin": "9521234500019"}, 400, "invalid_input", "gtin"),
    ("pallets/", {"sscc": chain.SSCC[:-1] + "9"}, 400, "invalid_input", "sscc"),
    ("pallets/", {"stands_in": "FV1"}, 400, "wrong_place", "stands_in"),
    ("pallet-loads/", {"lines": [line("KEG1", "COLD", "11", "each")]}, 409, "not_enough_there", "quantity"),
    ("pallet-moves/", {"to_location": "COLD"}, 400, "invalid_input", "to_location"),
    ("pallet-unloads/", {"lines": [line("KEG1", "COLD", "1", "each")]}, 400, "invalid_input", "location"),
    ("pallet-unloads/", {"to_location": "FV1"}, 400, "wrong_place", "to_location"),
    ("pallet-shipments/", {"happened_at": "2199-01-01T00:00:00Z"}, 400, "in_the_future", "happened_at"),
)


def test_every_write_of_the_chain_has_a_refusal_here():
    assert {address for address, *_ in REFUSALS} == set(BY_ADDRESS)


def test_each_is_refused_for_its_own_reason_and_leaves_no_trace(api: Api):
    tried = 0
    for address, role, body in CHAIN:
        before = Event.objects.count(), Lot.objects.count()
        for other, change, status, code, field in REFUSALS:
            if other == address and body is BY_ADDRESS[address][1]:
                problem = problem_of(api.post(address, body | change, role), status)
                assert (problem["code"], [fault["field"] for fault in problem["errors"]]) == (code, [field]), change
                tried += 1
        assert (Event.objects.count(), Lot.objects.count()) == before
        assert api.post(address, body, role).status_code == 201, address
    assert tried == len(REFUSALS)


def test_a_lot_on_hold_is_not_drawn_and_quality_may_override_where_it_also_draws(api: Api):
    api.house.stock_up()
    api.house.start_brew("B1", hours=2)
    api.house.decide("H1", "on_hold", hours=2)
    body = chain.DRAW | {"lines": [line("H1", "STORE", "1")]}
    problem = problem_of(api.post("draws/", body, "brewing"), 409)
    assert (problem["code"], problem["errors"][0]["field"]) == ("lot_not_released", "lot")
    User.objects.filter(username=api.house.people["brewing"].username).update(is_superuser=True)
    api.house.people["brewing"] = User.objects.get(username=api.house.people["brewing"].username)
    answer = api.post("draws/", body | {"override_reason": "tasted, and good"}, "brewing")
    assert answer.status_code == 201
    assert answer.json()["override_reason"] == "tasted, and good"


@pytest.mark.parametrize(
    ("spoil", "code"),
    [
        (lambda api, event: api.house.move("H1", "STORE", "COLD", "1 kg", hours=2), "output_in_use"),
        (lambda api, event: api.house.reverse(event), "already_reversed"),
    ],
    ids=["used", "reversed"],
)
def test_a_reversal_is_refused_where_something_depends_on_it(api: Api, spoil: Callable[[Api, Event], Any], code: str):
    event = api.house.deliver("SAAZ", "H1", "20 kg")
    spoil(api, event)
    body = {"event": event.pk, "reason": "entered twice"}
    assert problem_of(api.post("reversals/", body, "receiving"), 409)["code"] == code


def test_a_reversal_needs_a_reason_and_an_event_that_is_none_itself(api: Api):
    event = api.house.deliver("SAAZ", "H1", "20 kg")
    assert problem_of(api.post("reversals/", {"event": event.pk}, "receiving"), 400)["code"] == "reason_missing"
    answer = api.post("reversals/", {"event": event.pk, "reason": "entered twice"}, "receiving")
    assert answer.status_code == 201
    assert (answer.json()["kind"], answer.json()["reverses"]) == ("reverse", event.pk)
    again = {"event": answer.json()["id"], "reason": "so it did come"}
    assert problem_of(api.post("reversals/", again, "receiving"), 409)["code"] == "not_reversible"


def test_a_draw_told_late_may_not_leave_less_than_nothing_then(api: Api):
    api.house.stock_up()
    api.house.start_brew("B1", hours=1)
    api.house.move("H1", "STORE", "COLD", "15 kg", hours=50)
    late = chain.DRAW | {"happened_at": moment(40), "lines": [line("H1", "STORE", "5")]}
    assert api.post("draws/", late, "brewing").status_code == 201
    api.house.move("H1", "COLD", "STORE", "10 kg", hours=60)
    too_late = chain.DRAW | {"happened_at": moment(55), "lines": [line("H1", "STORE", "5")]}
    assert problem_of(api.post("draws/", too_late, "brewing"), 409)["code"] == "not_enough_then"
