"""Work under way: brews and packaging runs are started, drawn for, and hold what was drawn until something is made."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from brewery.kernel.clock import on_the_wall
from brewery.kernel.errors import DomainError, InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.models import Brew, BrewSheet, PackagingRun
from brewery.production.queries.packaging_fills import ends_that_hold
from brewery.production.services.by_the_sheet import StandIn, refuse_off_the_sheet, write_stand_ins
from brewery.production.services.fitness import refuse_unfit
from brewery.production.services.other_lots import other_lots
from brewery.production.services.refusals import AlreadyKnockedOut, AlreadyPackaged, NothingDrawn
from brewery.production.services.sheet_refusals import SheetOfAnotherBeer
from brewery.production.services.sheets import locked_in_use
from inventory.models import Event, Location, Material, Posting
from inventory.queries.contents import lots_in
from inventory.services import draws
from inventory.services.checks import in_words, refuse_not_positive, refuse_the_future
from inventory.services.refusals import WrongMaterial
from inventory.services.registers import refuse_code_in_use
from inventory.services.stock import Part

Work = Brew | PackagingRun


@once("start_brew", returns=Brew)
def start_brew(
    *,
    code: str,
    beer: Material,
    started_at: datetime,
    actor: User,
    request_id: UUID,
    sheet: BrewSheet | None = None,
    cold_wort_micro: int | None = None,
) -> Brew:
    """The brew is under way: ingredients can be drawn for it.

    By a sheet, it is to give `cold_wort_micro` of wort at 20 °C, or as much as the sheet says where that is left out.
    Raises InvalidInput, WrongMaterial, InTheFuture, SheetNotInUse, SheetOfAnotherBeer.
    """
    length_micro = _length_of(beer, sheet, cold_wort_micro)
    place = _open_place(code, f"Brew {code}", beer, started_at)
    return Brew.objects.create(
        code=code,
        beer=beer,
        location=place,
        started_at=started_at,
        sheet=sheet,
        cold_wort_micro=length_micro,
        request_id=request_id,
    )


@once("start_packaging_run", returns=PackagingRun)
def start_packaging_run(
    *, code: str, beer: Material, started_at: datetime, actor: User, request_id: UUID
) -> PackagingRun:
    """The run is under way: bottles, crowns, kegs and labels can be drawn for it."""
    place = _open_place(code, f"Packaging run {code}", beer, started_at)
    return PackagingRun.objects.create(
        code=code, beer=beer, location=place, started_at=started_at, request_id=request_id
    )


def draw_for(*, work: Work, parts: Sequence[Part], happened_at: datetime, **asked: Any) -> Event:
    """As `record_draw`; where a lot cannot be had, the refusal also says which lots can be had instead."""
    try:
        return record_draw(work=work, parts=parts, happened_at=happened_at, **asked)
    except DomainError as refused:
        refused.instead = other_lots(refused, parts, happened_at)
        raise


@once("draw_for", returns=Event)
def record_draw(
    *,
    work: Work,
    parts: Sequence[Part],
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    override_reason: str = "",
    reason: str = "",
    stands_in: Sequence[StandIn] = (),
    completes: Sequence[Material] = (),
) -> Event:
    """All parts lie in the brew or run.

    For a brew by a sheet, `stands_in` says what is drawn in place of what, `completes` of which materials that is all,
    and `reason` why it is more or less than the sheet asks for. Raises AlreadyKnockedOut, AlreadyPackaged, the
    refusals of a draw, of `refuse_unfit` without an override, and of `refuse_off_the_sheet`.
    """
    refuse_finished(work)
    if not override_reason:
        refuse_unfit(parts, happened_at)
    event = draws.draw(
        parts=parts,
        into=work.location,
        happened_at=happened_at,
        actor=actor,
        request_id=request_id,
        override_reason=override_reason,
        reason=reason,
    )
    if isinstance(work, Brew):
        write_stand_ins(work, event, parts, stands_in)
        refuse_off_the_sheet(work, event, parts, stands_in, completes, reason)
    return event


@once("return_from", returns=Event)
def return_from(
    *,
    work: Work,
    parts: Sequence[Part],
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    reason: str = "",
    contents_code: str = "",
    unclean_reason: str = "",
) -> Event:
    """All parts lie in stock again. Raises AlreadyKnockedOut, AlreadyPackaged, and the refusals of a return."""
    refuse_finished(work)
    return draws.return_to_stock(
        parts=parts,
        out_of=work.location,
        happened_at=happened_at,
        actor=actor,
        request_id=request_id,
        reason=reason,
        contents_code=contents_code,
        unclean_reason=unclean_reason,
    )


def _length_of(beer: Material, sheet: BrewSheet | None, cold_wort_micro: int | None) -> int | None:
    """Return how much wort is to come of the brew; nothing is said where it is brewed by no sheet."""
    if sheet is None:
        if cold_wort_micro is not None:
            raise InvalidInput(
                field="cold_wort", value=in_words(cold_wort_micro, "L"), problem="Say by which sheet it is brewed."
            )
        return None
    if sheet.beer_id != beer.pk:
        raise SheetOfAnotherBeer(sheet=sheet, beer=beer, field="sheet")
    locked_in_use(sheet)
    length_micro = sheet.cold_wort_micro if cold_wort_micro is None else cold_wort_micro
    refuse_not_positive(length_micro, "cold_wort", "L")
    return length_micro


def _open_place(code: str, name: str, beer: Material, started_at: datetime) -> Location:
    """Make the location of a brew or run, under its code, which no other place of any kind bears."""
    if beer.kind != Material.Kind.BEER:
        raise WrongMaterial(lot=beer.name, kind=beer.get_kind_display(), wanted="a beer", field="beer")
    refuse_code_in_use(Location.objects.filter(code=code).exists(), code)
    refuse_the_future(started_at, "started_at")
    return Location.objects.create(code=code, name=name, kind=Location.Kind.PROCESS)


def lock_work(work: Work) -> None:
    """Nobody else draws for the brew or run, returns from it, or finishes it, until the end of the transaction."""
    type(work)._default_manager.select_for_update().get(pk=work.pk)


def finished_by(work: Work) -> Event | None:
    """Return the event that knocked the brew out or ended the run, reversed ones aside."""
    if isinstance(work, PackagingRun):
        end = ends_that_hold().filter(run=work).select_related("event").last()
        return end.event if end else None
    postings = Posting.objects.filter(
        from_location=work.location, event__kind=Event.Kind.KNOCK_OUT, event__reversed_by=None
    )
    posting = postings.select_related("event").first()
    return posting.event if posting else None


def refuse_finished(work: Work) -> None:
    """Lock the brew or run, and raise AlreadyKnockedOut or AlreadyPackaged where something was made of it."""
    lock_work(work)
    event = finished_by(work)
    if event and isinstance(work, Brew):
        raise AlreadyKnockedOut(brew=work.code, moment=on_the_wall(event.happened_at), field="brew")
    if event:
        raise AlreadyPackaged(run=work.code, moment=on_the_wall(event.happened_at), field="run")


def drawn_parts(work: Work) -> list[Part]:
    """Return all that lies in the brew or run. Raises NothingDrawn where nothing does."""
    parts = [Part(lot, work.location, quantity) for lot, quantity in lots_in(work.location)]
    if not parts:
        raise NothingDrawn(work=work.location, field="lines")
    return parts
