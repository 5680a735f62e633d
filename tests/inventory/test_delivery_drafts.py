"""Delivery drafts: several people write one down, and nobody overwrites another unseen."""

from datetime import date

import pytest
from django.db import IntegrityError, transaction

from brewery.kernel.errors import InvalidInput, SeveralFaults
from inventory.models import Delivery, DeliveryChange, DeliveryLine
from inventory.services.delivery_drafts import discard_delivery, open_delivery
from inventory.services.delivery_lines import add_line
from inventory.services.draft_refusals import ChangedMeanwhile, DraftDiscarded, LineGone
from inventory.services.orders import NoSupplier, OrderedLine, enter_order
from tests.brewhouse import Brewhouse, at, micro, rid
from tests.inventory.dock import Dock
from tests.standing import built_once


@built_once
def dock(brewhouse: Brewhouse) -> Dock:
    return Dock(brewhouse)


@built_once
def other(brewhouse: Brewhouse) -> Dock:
    """A second clerk, who here happens to be of another role."""
    return Dock(brewhouse, "quality")


def test_a_draft_is_opened_once_however_often_it_is_asked_for(brewhouse: Brewhouse):
    asked = {
        "supplier": brewhouse.party("HOPYARD"),
        "arrived_at": at(0),
        "header": {"note_number": "LS-1", "temperature_milli_c": 4500},
        "actor": brewhouse.people["receiving"],
        "request_id": rid(),
    }
    first, again = open_delivery(**asked), open_delivery(**asked)
    assert first == again
    assert (first.state, first.version, first.note_number, first.temperature_milli_c) == ("draft", 1, "LS-1", 4500)


def test_only_a_supplier_delivers(brewhouse: Brewhouse):
    with pytest.raises(NoSupplier):
        open_delivery(supplier=brewhouse.party("INN"), arrived_at=at(0), **brewhouse.by("receiving"))


def test_every_change_is_a_version_with_who_and_what(dock: Dock, other: Dock):
    draft = dock.open()
    line = dock.add(draft, "SAAZ", "5 kg")
    other.say(draft, note_number="LS-2", carrier="Ferry Haulage")
    dock.change(line, quantity_micro=micro("5.2 kg"))
    dock.remove(line)
    told = [(one.version, one.actor.username, one.words) for one in DeliveryChange.objects.filter(delivery=draft)]
    clerk, helper = (dock.house.people[role].username for role in ("receiving", "quality"))
    assert told == [
        (1, clerk, "opened it"),
        (2, clerk, "added line 1, Saaz"),
        (3, helper, "note number is now “LS-2”, carrier is now “Ferry Haulage”"),
        (4, clerk, "line 1: weight is now 5.2"),
        (5, clerk, "removed line 1, Saaz"),
    ]
    assert dock.version(draft) == 5


def test_two_people_who_change_different_things_do_not_stand_in_each_others_way(dock: Dock, other: Dock):
    draft = dock.open()
    first, second = dock.add(draft, "SAAZ", "5 kg"), dock.add(draft, "SAAZ", "5 kg")
    seen = draft.version
    other.change(second, seen, quantity_micro=micro("6 kg"))
    other.say(draft, seen, vehicle="WT-1")
    dock.change(first, seen, quantity_micro=micro("4 kg"))
    dock.say(draft, seen, carrier="Ferry Haulage")
    assert [line.quantity_micro for line in draft.lines.all()] == [micro("4 kg"), micro("6 kg")]
    assert (draft.vehicle, draft.carrier) == ("WT-1", "Ferry Haulage")


def test_the_second_of_two_who_change_the_same_is_told_who_changed_what(dock: Dock, other: Dock):
    draft = dock.open()
    line = dock.add(draft, "SAAZ", "5 kg")
    seen = draft.version
    other.change(line, seen, quantity_micro=micro("6 kg"))
    with pytest.raises(ChangedMeanwhile) as refused:
        dock.change(line, seen, quantity_micro=micro("4 kg"))
    assert refused.value.field == "quantity_micro"
    assert f"{dock.house.people['quality'].username}, " in str(refused.value)
    assert "line 1: weight is now 6" in str(refused.value)
    assert draft.lines.get().quantity_micro == micro("6 kg")
    other.say(draft, note_number="LS-9")
    with pytest.raises(ChangedMeanwhile, match="note number is now “LS-9”") as refused:
        dock.say(draft, seen, note_number="LS-8")
    assert refused.value.field == "note_number"


def test_who_compares_the_whole_is_refused_after_any_change(dock: Dock, other: Dock):
    draft = dock.open()
    seen = draft.version
    other.say(draft, carrier="Ferry Haulage")
    with pytest.raises(ChangedMeanwhile):
        add_line(delivery=draft, facts={"material": dock.house.material("SAAZ")}, version=seen, **dock.who)
    with pytest.raises(ChangedMeanwhile):
        discard_delivery(delivery=draft, version=seen, **dock.who)


def test_a_version_that_never_was_is_refused(dock: Dock):
    with pytest.raises(InvalidInput, match="at version 1"):
        dock.say(dock.open(), 7, carrier="x")


def test_a_line_that_somebody_removed_is_told_with_who(dock: Dock, other: Dock):
    draft = dock.open()
    line = dock.add(draft, "SAAZ", "5 kg")
    seen = draft.version
    other.remove(line)
    name = dock.house.people["quality"].username
    for change in (lambda: dock.change(line, seen, supplier_lot="A"), lambda: dock.remove(line)):
        with pytest.raises(LineGone, match=f"{name} removed line 1, Saaz"):
            change()


def test_lines_keep_their_positions_when_one_goes(dock: Dock):
    draft = dock.open()
    dock.add(draft, "SAAZ")
    gone = dock.add(draft, "SAAZ")
    dock.add(draft, "CASCADE")
    dock.remove(gone)
    dock.add(draft, "PILS")
    assert [(line.position, line.material.code) for line in draft.lines.all()] == [
        (1, "SAAZ"),
        (3, "CASCADE"),
        (4, "PILS"),
    ]


def test_a_code_is_proposed_that_no_lot_and_no_other_draft_bears(dock: Dock):
    dock.house.deliver("SAAZ", "HO260302-07", "1 kg")
    one, another = dock.open(), dock.open("MALTINGS")
    codes = [dock.add(draft, material).lot_code for draft in (one, another) for material in ("SAAZ", "PILS")]
    assert codes == ["HO260302-08", "MA260302-01", "HO260302-09", "MA260302-02"]


def test_the_code_tells_the_day_in_the_brewery_not_in_greenwich(dock: Dock):
    """23:30 in Greenwich on 1 March is 00:30 on 2 March in Berlin."""
    assert dock.add(dock.open(hours=-8.5), "SAAZ").lot_code == "HO260302-01"


def test_a_code_that_was_typed_is_kept(dock: Dock):
    assert dock.add(dock.open(), "SAAZ", lot_code="MINE-1").lot_code == "MINE-1"


def test_a_bought_yeast_is_of_the_first_generation_and_nothing_else_has_one(dock: Dock):
    draft = dock.open()
    line = dock.add(draft, "YEAST", "5 kg", "COLD")
    assert line.generation == 1
    dock.change(line, material=dock.house.material("SAAZ"))
    assert draft.lines.get().generation is None


def test_contents_of_a_mixed_silo_that_is_not_empty_are_given_a_code(dock: Dock):
    draft = dock.open("MALTINGS")
    assert dock.add(draft, "PILS", "100 kg", "SILO1").contents_code == ""
    dock.house.deliver("PILS", "M1", "1000 kg", "SILO1")
    line = dock.add(draft, "PILS", "100 kg", "STORE")
    assert line.contents_code == ""
    dock.change(line, location=dock.house.place("SILO1"))
    line.refresh_from_db()
    assert line.contents_code == "CMA260302-01"


def test_a_line_belongs_to_the_order_that_waits_for_it_longest(dock: Dock):
    for number, due_on in (("PO-1", date(2026, 3, 9)), ("PO-2", date(2026, 3, 4))):
        enter_order(
            number=number,
            supplier=dock.house.party("HOPYARD"),
            ordered_on=date(2026, 2, 1),
            lines=[OrderedLine(dock.house.material("SAAZ"), micro("20 kg"), due_on)],
            **dock.who,
        )
    draft = dock.open()
    line = dock.add(draft, "SAAZ", "5 kg")
    assert line.order_line is not None
    assert line.order_line.order.number == "PO-2"
    assert dock.add(draft, "CASCADE", "5 kg").order_line is None
    assert dock.add(dock.open("MALTINGS"), "SAAZ", "5 kg").order_line is None


def test_a_line_that_somebody_took_off_its_order_stays_off_it(dock: Dock):
    ordered = [OrderedLine(dock.house.material("SAAZ"), micro("20 kg"), date(2026, 3, 9))]
    supplier = dock.house.party("HOPYARD")
    enter_order(number="PO-1", supplier=supplier, ordered_on=date(2026, 2, 1), lines=ordered, **dock.who)
    draft = dock.open()
    line = dock.add(draft, "CASCADE", "5 kg")
    dock.change(line, material=dock.house.material("SAAZ"))
    line.refresh_from_db()
    assert line.order_line is not None
    dock.change(line, order_line=None)
    dock.change(line, quantity_micro=micro("6 kg"))
    line.refresh_from_db()
    assert line.order_line is None


def test_another_note_number_or_supplier_is_to_be_confirmed_anew(dock: Dock):
    draft = dock.open(same_note_confirmed=True)
    dock.say(draft, carrier="Ferry Haulage")
    assert draft.same_note_confirmed
    dock.say(draft, note_number="LS-2")
    assert not draft.same_note_confirmed


def test_what_a_column_does_not_take_is_refused_by_its_field(dock: Dock):
    draft = dock.open()
    with pytest.raises(InvalidInput) as refused:
        dock.say(draft, note_number="n" * 61)
    assert refused.value.field == "note_number"
    with pytest.raises(SeveralFaults) as several:
        dock.add(draft, "SAAZ", supplier_lot="n" * 61, sscc="1" * 19)
    assert {fault.field for fault in several.value.faults} == {"supplier_lot", "sscc"}
    with pytest.raises(InvalidInput, match="more than 0"):
        dock.add(draft, "SAAZ", package_count=0)
    with pytest.raises(InvalidInput, match="nothing of that name"):
        dock.say(draft, state="booked")
    with pytest.raises(InvalidInput, match="of some material"):
        add_line(delivery=draft, facts={}, **dock.who)
    assert not DeliveryLine.objects.exists()


def test_a_discarded_draft_stays_as_it_was(dock: Dock, other: Dock):
    draft = dock.open()
    line = dock.add(draft, "SAAZ", "5 kg")
    discard_delivery(delivery=draft, version=draft.version, **dock.who)
    name = dock.house.people["receiving"].username
    for change in (lambda: other.say(draft, carrier="x"), lambda: other.change(line), lambda: other.book(draft)):
        with pytest.raises(DraftDiscarded, match=f"{name} discarded delivery note LS-1 on "):
            change()
    rule = "a_delivery_changes_as_a_draft_only"
    with pytest.raises(IntegrityError, match=rule), transaction.atomic():
        Delivery.objects.filter(pk=draft.pk).update(state="draft")
