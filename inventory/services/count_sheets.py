"""Count sheets: a place or a material is counted blind, by one or several people, and booked with a reason.

Whoever counts is not told what the book says. Each line is held against the book of the moment when it was counted, so
nobody has to stop working. A difference above the material's threshold is booked by somebody with the right to approve
who counted nothing on the sheet: common practice, no source.
"""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from brewery.kernel.access import Right
from brewery.kernel.clock import now, on_the_wall
from brewery.kernel.errors import InvalidInput, NotAllowed
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import CountFind, CountLine, CountSheet, Location, Lot, Material
from inventory.queries.count_sheets import Difference, differences_of, expected_on, sheets_with_lines
from inventory.services.checks import LARGEST_MICRO, refuse_the_future, shown
from inventory.services.count_refusals import (
    CountedBySameHands,
    CountedElsewhere,
    CountUnderWay,
    NotAllCounted,
    NotOnThisSheet,
    SheetNotInState,
)
from inventory.services.counts import record_count
from inventory.services.posting import lock_lots
from inventory.services.refusals import ReasonMissing
from inventory.services.stock import refuse_other_places

State = CountSheet.State


@once("open_count", returns=CountSheet)
def open_count(
    *, actor: User, request_id: UUID, location: Location | None = None, material: Material | None = None
) -> CountSheet:
    """A place, or a material in all places, is being counted; the sheet names the lots that the book expects.

    Raises InvalidInput unless it is one of the two, WrongPlace, CountUnderWay.
    """
    if (location is None) == (material is None):
        raise InvalidInput(field="location", value=str(location), problem="Give a place or a material, one of them.")
    if location:
        refuse_other_places(location, Location.ON_HAND, "store, silo, brink or tank")
    of_what = CountSheet.objects.filter(location=location, material=material)
    there = of_what.filter(state__in=(State.COUNTING, State.SUBMITTED)).first()
    if there:
        raise CountUnderWay(
            what=location or material,
            moment=on_the_wall(there.opened_at),
            field="location" if location else "material",
        )
    sheet = CountSheet.objects.create(
        location=location, material=material, opened_by=actor, opened_at=now(), request_id=request_id
    )
    lines = [CountLine(sheet=sheet, lot=lot, location=place) for lot, place in expected_on(sheet)]
    CountLine.objects.bulk_create(lines, batch_size=500)
    return sheet


@once("enter_count", returns=CountLine)
def enter_count(
    *,
    sheet: CountSheet,
    lot: Lot,
    counted_micro: int,
    actor: User,
    request_id: UUID,
    location: Location | None = None,
    counted_at: datetime | None = None,
) -> CountLine:
    """The sheet says how much of the lot was found, and who counted it; a second count takes the first one's place.

    A lot that the sheet does not name yet is added. Raises SheetNotInState, NotOnThisSheet, CountedElsewhere,
    InvalidInput, InTheFuture.
    """
    locked = _locked(sheet, State.COUNTING)
    place = _place_on(locked, lot, location)
    if not 0 <= counted_micro < LARGEST_MICRO:
        raise InvalidInput(
            field="quantity", value=shown(counted_micro, lot), problem="A count is zero or more, in real amounts."
        )
    moment = counted_at or now()
    refuse_the_future(moment, "counted_at")
    facts = {"counted_micro": counted_micro, "counted_by": actor, "counted_at": moment}
    line, _ = CountLine.objects.update_or_create(sheet=locked, lot=lot, location=place, defaults=facts)
    _changed(locked)
    return line


@once("note_find", returns=CountFind)
def note_find(
    *,
    sheet: CountSheet,
    marking: str,
    words: str,
    actor: User,
    request_id: UUID,
    location: Location | None = None,
) -> CountFind:
    """Something that no lot on record explains is noted: what stands on it, and what and how much it is, in words.

    It is not booked; whoever books the count sees it. Raises SheetNotInState, NotOnThisSheet, InvalidInput.
    """
    locked = _locked(sheet, State.COUNTING)
    place = locked.location or location
    if place is None:
        raise InvalidInput(field="location", value="", problem="Say where it lies.")
    for field, text in (("marking", marking), ("words", words)):
        if not text.strip():
            raise InvalidInput(field=field, value=text, problem="Say what stands on it, and what and how much it is.")
    find = CountFind.objects.create(
        sheet=locked,
        location=place,
        marking=marking,
        words=words,
        found_by=actor,
        found_at=now(),
        request_id=request_id,
    )
    _changed(locked)
    return find


@once("hand_in_count", returns=CountSheet)
def hand_in_count(*, sheet: CountSheet, actor: User, request_id: UUID) -> CountSheet:
    """The count waits to be booked; one that agrees with the book in everything is booked at once.

    Raises SheetNotInState, and NotAllCounted where a line is still to be counted.
    """
    locked = _locked(sheet, State.COUNTING)
    lines = _lines_of(locked)
    waiting = [line.lot.code for line in lines if line.counted_at is None]
    if waiting or not lines:
        raise NotAllCounted(count=len(waiting), lots=", ".join(waiting[:5]) or "none", field="sheet")
    locked.state, locked.counted_at = State.SUBMITTED, now()
    _changed(locked)
    if not any(one.difference_micro for one in differences_of(lines)) and not locked.finds.exists():
        _book(locked, lines, "", actor, request_id)
    return locked


@once("book_count", returns=CountSheet)
def book_count(*, sheet: CountSheet, reason: str, actor: User, request_id: UUID) -> CountSheet:
    """The book says what was counted; every difference is on record with the reason, all of them or none.

    Raises SheetNotInState, ReasonMissing, and where a difference is above its material's threshold NotAllowed without
    the right to approve and CountedBySameHands for somebody who counted; and the refusals of the ledger.
    """
    locked = _locked(sheet, State.SUBMITTED)
    if not reason.strip():
        raise ReasonMissing(what="A count that differs from the book", field="reason")
    lines = _lines_of(locked)
    lock_lots(line.lot for line in lines)
    _refuse_unapproved([one for one in differences_of(lines) if one.needs_approval], lines, actor)
    _book(locked, lines, reason, actor, request_id)
    return locked


@once("recount", returns=CountSheet)
def recount(*, sheet: CountSheet, actor: User, request_id: UUID) -> CountSheet:
    """What differs from the book is to be counted again; what agrees stays as it is. Raises SheetNotInState."""
    locked = _locked(sheet, State.SUBMITTED)
    differing = [one.line.pk for one in differences_of(_lines_of(locked)) if one.difference_micro]
    CountLine.objects.filter(pk__in=differing).update(counted_micro=None, counted_by=None, counted_at=None)
    locked.state, locked.counted_at = State.COUNTING, None
    _changed(locked)
    return locked


@once("discard_count", returns=CountSheet)
def discard_count(*, sheet: CountSheet, actor: User, request_id: UUID) -> CountSheet:
    """The count is over and nothing of it is booked. Raises SheetNotInState."""
    locked = _locked(sheet, State.COUNTING, State.SUBMITTED)
    locked.state = State.DISCARDED
    _changed(locked)
    return locked


def _locked(sheet: CountSheet, *states: str) -> CountSheet:
    """Return the sheet, locked. Raises SheetNotInState unless it is in one of the states."""
    there = CountSheet.objects.select_for_update(of=("self",)).select_related("location", "material").get(pk=sheet.pk)
    if there.state not in states:
        wanted = " or ".join(State(state).label for state in states)
        raise SheetNotInState(sheet=there.pk, state=there.get_state_display(), wanted=wanted, field="sheet")
    return there


def _changed(sheet: CountSheet) -> None:
    sheet.version += 1
    sheet.save(update_fields=["state", "counted_at", "approved_by", "approved_at", "version"])


def _lines_of(sheet: CountSheet) -> list[CountLine]:
    return list(sheets_with_lines().get(pk=sheet.pk).lines.all())


def _place_on(sheet: CountSheet, lot: Lot, location: Location | None) -> Location:
    """Return where the line counts. Raises NotOnThisSheet, CountedElsewhere, InvalidInput, WrongPlace."""
    if sheet.material_id and lot.material_id != sheet.material_id:
        raise NotOnThisSheet(lot=lot.code, other=lot.material, material=sheet.material, field="lot")
    if sheet.location and location and location != sheet.location:
        raise CountedElsewhere(location=location, place=sheet.location, field="location")
    place = sheet.location or location
    if place is None:
        raise InvalidInput(field="location", value="", problem="Say where it lies.")
    refuse_other_places(place, Location.ON_HAND, "store, silo, brink or tank")
    return place


def _refuse_unapproved(large: Sequence[Difference], lines: Sequence[CountLine], actor: User) -> None:
    if not large:
        return
    if not actor.has_right(Right.APPROVE_COUNTS):
        raise NotAllowed(person=actor, right=Right.APPROVE_COUNTS, field="sheet")
    if actor.pk in {line.counted_by_id for line in lines}:
        raise CountedBySameHands(person=actor, lots=", ".join(one.line.lot.code for one in large[:5]), field="sheet")


def _book(sheet: CountSheet, lines: Sequence[CountLine], reason: str, actor: User, request_id: UUID) -> None:
    sheet.state, sheet.approved_by, sheet.approved_at = State.BOOKED, actor, now()
    for one in differences_of(lines):
        line, why = one.line, reason if one.difference_micro else ""
        line.event = record_count(
            line.lot,
            line.location,
            line.counted_micro or 0,
            line.counted_at or now(),
            actor=actor,
            request_id=request_id,
            reason=why,
        )
        line.reason = why[: CountLine._meta.get_field("reason").max_length]
    CountLine.objects.bulk_update(lines, ["event", "reason"], batch_size=500)
    _changed(sheet)
