"""Packaged beer is released on its results, and its alcohol is a measured value."""

from datetime import date
from typing import Any

import pytest

from brewery.kernel.errors import NotAllowed
from inventory.models.dispositions import Disposition
from inventory.queries.measured_strengths import measured_alcohol
from inventory.services.certificates import Measured, enter_certificate
from inventory.services.decisions import NotDecided, ResultsStandAgainst, SeenLot, decide_on_lot, decide_on_lots
from inventory.services.labels import lot_labels
from inventory.services.specifications import set_specification
from tests.brewhouse import Brewhouse, at
from tests.inventory.pages.reading import text_of
from tests.ledger import refused
from tests.signing import signed_in
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """KEG1 is quarantined; kegs need 4.8 to 5.2 % vol, and a taste panel."""
    brewhouse.stock_up()
    brewhouse.ferment()
    type(brewhouse.material("KEG50")).objects.filter(code="KEG50").update(arrives="quarantined")
    run = brewhouse.start_run("R1", hours=100)
    brewhouse.draw(run, ("K1", "STORE", "25 each"), hours=100)
    brewhouse.package(run, "FV1", "KEG1", 10, hours=102)
    limits = {"least_micro": 4_800_000, "most_micro": 5_200_000}
    for name, limit in (("alcohol", limits), ("taste", {})):
        set_specification(
            material=brewhouse.material("KEG50"),
            property=name,
            in_force_from=date(2026, 1, 1),
            **limit,
            **brewhouse.by("quality"),
        )
    return brewhouse


def measure(house: Brewhouse, **values: str) -> None:
    enter_certificate(
        lot=house.lot("KEG1"),
        values=[Measured(name, value, "distillation" if name == "alcohol" else "") for name, value in values.items()],
        issued_on=date(2026, 3, 9),
        laboratory="house laboratory",
        **house.by("quality"),
    )


def release(house: Brewhouse, role: str = "quality", **more: Any) -> None:
    decide_on_lot(
        lot=house.lot("KEG1"),
        disposition=Disposition.RELEASED,
        reason="results seen",
        happened_at=at(120),
        **more,
        **house.by(role),
    )


@pytest.mark.parametrize(
    ("values", "faults"),
    [
        ({}, "Alcohol by volume is not stated; Taste panel is not stated"),
        ({"alcohol": "5.0"}, "Taste panel is not stated"),
        ({"alcohol": "5.5", "taste": "passed"}, "Alcohol by volume 5.5 % vol is not 4.8 to 5.2 % vol"),
        ({"alcohol": "5.0", "taste": "failed"}, "Taste panel: failed"),
    ],
)
def test_packaged_beer_is_not_released_on_results_missing_or_outside(
    house: Brewhouse, values: dict[str, str], faults: str
):
    if values:
        measure(house, **values)
    with refused(ResultsStandAgainst, f"Lot KEG1 cannot be released: {faults}.", field="lot"):
        release(house)
    with pytest.raises(NotDecided, match="Nothing was decided: 1"):
        decide_on_lots(lots=[SeenLot(house.lot("KEG1"))], disposition="released", reason="seen", **house.by("quality"))


def test_packaged_beer_is_released_by_a_person_when_all_results_keep_their_limits(house: Brewhouse):
    measure(house, alcohol="5.0", taste="passed")
    assert house.lot("KEG1").disposition == Disposition.QUARANTINED
    release(house)
    assert house.lot("KEG1").disposition == Disposition.RELEASED


def test_a_release_against_the_results_needs_the_right_and_says_why(house: Brewhouse):
    release(house, override_reason="the director tasted it")
    assert house.lot("KEG1").decisions.last().reason == "results seen (overridden: the director tasted it)"
    with pytest.raises(NotAllowed):
        release(house, "brewing", override_reason="tasted")


def test_the_alcohol_is_what_was_measured_or_nothing(house: Brewhouse):
    assert measured_alcohol(house.lot("KEG1")) is None
    measure(house, taste="passed")
    assert measured_alcohol(house.lot("KEG1")) is None
    measure(house, alcohol="4.97")
    found = measured_alcohol(house.lot("KEG1"))
    assert found is not None
    assert (found.value_micro, found.method, found.measured_on) == (4_970_000, "distillation", date(2026, 3, 9))
    assert found.shown == "4.97 % vol"


def test_the_label_bears_the_alcohol_that_was_measured_and_no_other(house: Brewhouse):
    (label,) = lot_labels([house.lot("KEG1")])
    assert dict(label.lines)["Alcohol"] == "not measured"
    measure(house, alcohol="4.97")
    (label,) = lot_labels([house.lot("KEG1")])
    assert dict(label.lines)["Alcohol"] == "4.97 % vol"
    assert "Contains" in dict(label.lines)


def test_the_lot_says_what_stands_against_its_release_until_it_is_measured(house: Brewhouse):
    measure(house, alcohol="5.0")
    client = signed_in(house, "quality")
    answer = client.get("/api/v1/lots/KEG1/").json()
    assert answer["against_release"] == ["Taste panel is not stated"]
    assert (answer["measured_alcohol"]["shown"], answer["measured_alcohol"]["method"]) == ("5 % vol", "distillation")
    page = text_of(client.get(f"/lots/{house.lot('KEG1').pk}/"))
    assert "It cannot be released on its results yet." in page
    assert "Taste panel is not stated" in page
    measure(house, alcohol="5.0", taste="passed")
    assert "It cannot be released" not in text_of(client.get(f"/lots/{house.lot('KEG1').pk}/"))
