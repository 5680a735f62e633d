"""Layered silos: the lowest leaves first, and what met another lot within the band between them says so."""

from collections.abc import Iterator
from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction
from hypothesis import given
from hypothesis import strategies as st

from brewery.kernel.errors import InvalidInput
from inventory.models import Contact, Event, Location
from inventory.queries.layers import Flow, told_by
from inventory.queries.proposals import propose
from inventory.services.refusals import LiesBeneath, MetAlready
from inventory.services.registers import add_location
from tests.brewhouse import Brewhouse, at, micro
from tests.inventory.stockroom import TODAY
from tests.ledger import everything_written, links, refused
from tests.standing import built_once

BAND = 50


@built_once
def silo(brewhouse: Brewhouse) -> Brewhouse:
    """A layered silo with a band of 50 kg.

    B  600 kg
    A  600 kg of 1000, 400 drawn for brew B1
    """
    add_location(
        code="SILO3",
        name="Silo 3",
        kind=Location.Kind.SILO,
        filling=Location.Filling.LAYERED,
        band_micro=micro(f"{BAND} kg"),
        **brewhouse.by("administration"),
    )
    brewhouse.deliver("PILS", "A", "1000 kg", "SILO3", note="A", best_before=TODAY + timedelta(days=90))
    brewhouse.draw(brewhouse.start_brew("B1", hours=1), ("A", "SILO3", "400 kg"), hours=1)
    brewhouse.deliver("PILS", "B", "600 kg", "SILO3", hours=2, note="B", best_before=TODAY + timedelta(days=30))
    return brewhouse


def brew(house: Brewhouse, code: str, *lines: tuple[str, str, str], hours: float) -> set[tuple[str, str, str, str]]:
    """Draw for a brew, knock it out into an empty tank, empty the tank, and return the links of its wort."""
    started = house.start_brew(code, hours=hours)
    house.draw(started, *lines, hours=hours)
    event = house.knock_out(started, f"W{code}", {"BT1": "10 L"}, hours=hours)
    house.destroy(f"W{code}", "BT1", "10 L", hours=hours)
    house.clean("BT1", hours=hours)
    return links(event)


def met(event: Event) -> set[tuple[str, str]]:
    return set(event.contacts.values_list("lot__code", "neighbour__code"))


def test_what_was_drawn_before_the_next_load_came_met_nothing(silo: Brewhouse):
    event = silo.knock_out(silo.brew("B1"), "W1", {"FV1": "100 L"}, hours=3)
    assert links(event) == {("A", "W1", "ingredient", "400 kg")}


def test_a_draw_that_stays_clear_of_the_band_is_of_one_lot(silo: Brewhouse):
    assert brew(silo, "B2", ("A", "SILO3", "550 kg"), hours=3) == {("A", "WB2", "ingredient", "550 kg")}


def test_the_last_within_the_band_is_linked_to_what_lies_above(silo: Brewhouse):
    brew(silo, "B2", ("A", "SILO3", "550 kg"), hours=3)
    assert brew(silo, "B3", ("A", "SILO3", "20 kg"), hours=4) == {
        ("A", "WB3", "ingredient", "20 kg"),
        ("B", "WB3", "carryover", "0 kg"),
    }


def test_the_first_of_the_next_layer_is_linked_to_what_left_before_it(silo: Brewhouse):
    brew(silo, "B2", ("A", "SILO3", "600 kg"), hours=3)
    assert brew(silo, "B3", ("B", "SILO3", "30 kg"), hours=4) == {
        ("B", "WB3", "ingredient", "30 kg"),
        ("A", "WB3", "carryover", "0 kg"),
    }
    assert ("A", "WB4", "carryover", "0 kg") in brew(silo, "B4", ("B", "SILO3", "100 kg"), hours=5)
    assert brew(silo, "B5", ("B", "SILO3", "100 kg"), hours=6) == {("B", "WB5", "ingredient", "100 kg")}


def test_one_draw_takes_the_rest_of_a_layer_and_some_of_the_next(silo: Brewhouse):
    assert brew(silo, "B2", ("B", "SILO3", "100 kg"), ("A", "SILO3", "600 kg"), hours=3) == {
        ("A", "WB2", "ingredient", "600 kg"),
        ("B", "WB2", "ingredient", "100 kg"),
        ("A", "WB2", "carryover", "0 kg"),
        ("B", "WB2", "carryover", "0 kg"),
    }


def test_a_silo_that_was_run_empty_begins_anew(silo: Brewhouse):
    brew(silo, "B2", ("A", "SILO3", "600 kg"), ("B", "SILO3", "600 kg"), hours=3)
    silo.deliver("PILS", "C", "800 kg", "SILO3", hours=4, note="C")
    assert brew(silo, "B3", ("C", "SILO3", "10 kg"), hours=5) == {("C", "WB3", "ingredient", "10 kg")}


def test_what_lies_above_is_not_drawn_first(silo: Brewhouse):
    brew_2 = silo.start_brew("B2", hours=3)
    with refused(LiesBeneath, "In Silo 3, lot A lies beneath lot B and comes out first.", field="lot"):
        silo.draw(brew_2, ("B", "SILO3", "10 kg"), hours=3)
    with refused(LiesBeneath, "In Silo 3, lot A lies beneath lot B and comes out first.", field="lot"):
        silo.draw(brew_2, ("B", "SILO3", "10 kg"), ("A", "SILO3", "599 kg"), hours=3)


def test_a_sample_or_a_spoilt_crust_may_come_off_the_top(silo: Brewhouse):
    silo.sample("B", "SILO3", "1 kg", hours=3)
    silo.destroy("B", "SILO3", "9 kg", hours=4)
    assert silo.held("B", "SILO3") == micro("590 kg")


def test_what_is_moved_out_of_the_band_carries_the_neighbour_along(silo: Brewhouse):
    brew(silo, "B2", ("A", "SILO3", "560 kg"), hours=3)
    silo.move("A", "SILO3", "STORE", "40 kg", hours=4)
    assert ("B", "WB3", "carryover", "0 kg") in brew(silo, "B3", ("A", "STORE", "5 kg"), hours=5)


def test_what_is_brought_back_from_a_brew_still_bears_what_it_met(silo: Brewhouse):
    brew(silo, "B2", ("A", "SILO3", "560 kg"), hours=3)
    third = silo.start_brew("B3", hours=4)
    silo.draw(third, ("A", "SILO3", "40 kg"), hours=4)
    silo.bring_back(third, ("A", "STORE", "15 kg"), hours=5)
    assert ("B", "WB4", "carryover", "0 kg") in brew(silo, "B4", ("A", "STORE", "15 kg"), hours=6)


def test_what_is_poured_into_a_mixed_silo_hands_the_neighbour_on_at_once(silo: Brewhouse):
    silo.deliver("PILS", "M", "100 kg", "SILO1", hours=3, note="M")
    brew(silo, "B2", ("A", "SILO3", "560 kg"), hours=3)
    event = silo.move("A", "SILO3", "SILO1", "40 kg", hours=4, contents="S1")
    assert links(event) == {
        ("M", "S1", "ingredient", "100 kg"),
        ("A", "S1", "ingredient", "40 kg"),
        ("B", "S1", "carryover", "0 kg"),
    }


def test_a_draw_that_was_reversed_met_nothing(silo: Brewhouse):
    brew(silo, "B2", ("A", "SILO3", "560 kg"), hours=3)
    third = silo.start_brew("B3", hours=4)
    silo.reverse(silo.draw(third, ("A", "SILO3", "40 kg"), hours=4))
    silo.move("A", "SILO3", "STORE", "5 kg", hours=5)
    silo.deliver("PILS", "D", "5 kg", "STORE", hours=5, note="D")
    silo.draw(third, ("D", "STORE", "5 kg"), hours=6)
    assert links(silo.knock_out(third, "W3", {"FV1": "100 L"}, hours=7)) == {("D", "W3", "ingredient", "5 kg")}


def test_a_load_told_late_that_no_later_draw_has_met_is_taken(silo: Brewhouse):
    silo.draw(silo.start_brew("B2", hours=8), ("A", "SILO3", "560 kg"), hours=8)
    silo.deliver("PILS", "F", "60 kg", "SILO3", hours=6, note="F")
    assert silo.held("F", "SILO3") == micro("60 kg")


def test_what_is_told_late_and_changes_what_was_met_is_refused(silo: Brewhouse):
    silo.draw(silo.start_brew("B2", hours=8), ("A", "SILO3", "600 kg"), ("B", "SILO3", "600 kg"), hours=8)
    sentence = "Told so late, lot B, drawn from Silo 3 afterwards, would have met lot F."
    with refused(MetAlready, sentence, field="happened_at"):
        silo.deliver("PILS", "F", "60 kg", "SILO3", hours=6, note="F")


def test_the_proposal_takes_the_lowest_first_though_it_expires_later(silo: Brewhouse):
    proposal = propose(silo.material("PILS"), micro("700 kg"), today=TODAY, use_on=TODAY)
    taken = [(line.lot.code, line.quantity_micro) for line in proposal.lines]
    assert taken == [("A", micro("600 kg")), ("B", micro("100 kg"))]


def test_what_lies_above_a_held_lot_is_not_proposed(silo: Brewhouse):
    silo.decide("A", "on_hold", hours=3)
    proposal = propose(silo.material("PILS"), micro("100 kg"), today=TODAY, use_on=TODAY)
    assert proposal.lines == []
    assert {(one.lot.code, one.reason) for one in proposal.left_out} == {("A", "on hold"), ("B", "lies above lot A")}


def test_what_is_proposed_can_be_drawn(silo: Brewhouse):
    proposal = propose(silo.material("PILS"), micro("1150 kg"), today=TODAY, use_on=TODAY)
    lines = [(line.lot.code, line.location.code, f"{line.quantity_micro / 1e6:f} kg") for line in proposal.lines]
    silo.draw(silo.start_brew("B2", hours=3), *lines, hours=3)
    assert silo.held("B", "SILO3") == micro("50 kg")


def test_only_a_layered_silo_has_a_band(brewhouse: Brewhouse):
    facts = {"code": "SILO4", "name": "Silo 4", "kind": "silo", "filling": "mixed", "band_micro": 1}
    with pytest.raises(InvalidInput) as wrong:
        add_location(**facts, **brewhouse.by("administration"))
    assert wrong.value.field == "band"
    with pytest.raises(IntegrityError, match="only_layered_silos_have_a_band"), transaction.atomic():
        Location.objects.filter(code="SILO1").update(band_micro=1)


def test_contacts_are_never_changed_or_deleted(silo: Brewhouse):
    event = silo.draw(silo.start_brew("B2", hours=3), ("A", "SILO3", "600 kg"), hours=3)
    assert met(event) == {("A", "B")}
    before = everything_written()
    with pytest.raises(IntegrityError, match="contacts_are_never_changed"), transaction.atomic():
        Contact.objects.update(neighbour=silo.lot("A"))
    with pytest.raises(IntegrityError, match="contacts_are_never_deleted"), transaction.atomic():
        Contact.objects.all()._raw_delete("default")
    with pytest.raises(IntegrityError, match="a_lot_meets_another_than_itself"), transaction.atomic():
        Contact.objects.create(event=event, lot=silo.lot("A"), neighbour=silo.lot("A"), to_location=silo.place("STORE"))
    assert everything_written() == before


# The column against an oracle that knows every kilogram by itself.


def grain_by_grain(steps: list[tuple[str, int, int]], band: int) -> Iterator[set[tuple[int, int]]]:
    """Yield what each step met, moving single kilograms, each a list element, through the silo."""
    lying: list[int] = []
    left: list[int] = []
    for kind, lot, kilograms in steps:
        if kind == "put":
            lying += [lot] * kilograms
            yield set()
            continue
        pairs = set()
        for _ in range(min(kilograms, len(lying))):
            grain = lying.pop(0)
            near = [*left[-band:], *lying[:band]] if band else []
            pairs |= {(grain, other) for other in near if other != grain}
            left.append(grain)
        if not lying:
            left.clear()
        yield pairs


STEPS = st.lists(st.tuples(st.sampled_from(["put", "take"]), st.integers(1, 12)), min_size=1, max_size=25)


@given(steps=STEPS, band=st.integers(0, 8))
def test_the_column_meets_what_single_kilograms_meet(steps: list[tuple[str, int]], band: int):
    told, flows, lying = [], [], 0
    for number, (kind, kilograms) in enumerate(steps, 1):
        if kind == "put":
            flows.append(Flow(number, at(number), Event.Kind.RECEIVE, number, kilograms))
            lying += kilograms
            told.append((kind, number, kilograms))
        elif lying:
            takes = min(kilograms, lying)
            lying -= takes
            flows += [Flow(number, at(number), Event.Kind.DRAW, lot, -part) for lot, part in _lowest(flows, takes)]
            told.append((kind, 0, takes))
    expected = [pairs for (kind, _, _), pairs in zip(told, grain_by_grain(told, band), strict=True) if kind == "take"]
    answer = told_by(flows, band)
    events = sorted({flow.event for flow in flows if flow.quantity_micro < 0})
    assert [answer.met.get(event, set()) for event in events] == expected
    assert not any(answer.beneath.values())


def _lowest(flows: list[Flow], wanted: int) -> Iterator[tuple[int, int]]:
    """Yield the lots, lowest first, that a quantity out of the silo is of."""
    held: dict[int, int] = {}
    for flow in flows:
        held[flow.lot] = held.get(flow.lot, 0) + flow.quantity_micro
    for lot in sorted(held):
        part = min(held[lot], wanted)
        if part:
            yield lot, part
            wanted -= part
