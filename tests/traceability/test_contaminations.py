"""Contaminations: all that one of a culture or a tank may have reached, and the hold that one button places."""

import re
import uuid

import pytest

from brewery.kernel.errors import InvalidInput, NotFound
from tests.brewhouse import Brewhouse, at
from tests.signing import signed_in
from tests.standing import built_once
from traceability.models import HeldLot
from traceability.queries.contaminations import contamination_of


def reached(code: str, **asked: object) -> set[str]:
    return {member.lot.code for member in contamination_of(code, **asked).family.members}  # type: ignore[arg-type]


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """Y1 → T1 → D1 → BB1 → KEG1, and Y2 harvested from D1 in FV1."""
    brewhouse.whole_chain()
    return brewhouse


def test_a_culture_reaches_its_daughters_and_as_chosen_the_beer_that_it_was_pitched_into(house: Brewhouse):
    assert reached("Y1", with_ingredient=False) == {"Y1", "Y2"}
    assert {"Y1", "Y2", "T1", "D1", "BB1", "KEG1"} <= reached("Y1")


def test_a_tank_starts_from_what_lay_there_since_its_last_cleaning_or_a_moment(house: Brewhouse):
    house.clean("FV2", hours=1)
    found = contamination_of("FV2")
    assert (found.since, found.starts) == (at(1), [])
    assert {lot.code for lot in contamination_of("FV1").starts} == {"W1", "T1", "D1"}
    assert [lot.code for lot in contamination_of("FV1", since=at(120)).starts] == ["D1"]


def test_what_is_no_lot_and_no_vessel_is_refused(house: Brewhouse):
    with pytest.raises(NotFound):
        contamination_of("nowhere")
    with pytest.raises(InvalidInput):
        contamination_of("STORE")


def test_one_button_of_the_page_holds_all_that_may_be_reached(house: Brewhouse):
    client = signed_in(house, "quality")
    text = client.get("/contamination/?of=Y1&ingredient=on").content.decode()
    sent = dict(re.findall(r'name="(request_id|lots|reason)"[^>]*value="([^"]*)"', text))
    assert sent["lots"] == "Y1"
    follow = re.findall(r'name="follow" value="([^"]*)"', text)
    assert uuid.UUID(sent["request_id"])
    assert client.post("/holds/new/", {**sent, "follow": follow}).status_code == 303
    assert set(HeldLot.objects.values_list("lot__code", flat=True)) == reached("Y1")
    assert "There is no lot or vessel" in client.get("/contamination/?of=nowhere").content.decode()
