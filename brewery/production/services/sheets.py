"""Brew sheets: a version is written, changed while it is a draft, put in use or discarded, and withdrawn at the end."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from brewery.kernel.clock import now, on_the_wall
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.models import BrewPlan, BrewSheet, CellarStep
from brewery.production.queries.sheet_contents import LISTS, SINGLE, SheetContent, content_of
from brewery.production.queries.sheets import sheets_in_full
from brewery.production.services.sheet_checks import refuse_bad_content
from brewery.production.services.sheet_refusals import (
    MissingOnSheet,
    SheetChangedMeanwhile,
    SheetDraftThere,
    SheetNoDraft,
    SheetNotComplete,
    SheetNotInUse,
    SheetStillPlanned,
    SheetWithdrawn,
)
from inventory.models import Material
from inventory.services.checks import refuse_the_future
from inventory.services.refusals import WrongMaterial

MOST_PLANS_TOLD = 3
_NO_DRAFT = {
    BrewSheet.State.IN_USE: "in use",
    BrewSheet.State.WITHDRAWN: "withdrawn, and was in use",
    BrewSheet.State.DISCARDED: "discarded",
}


@once("write_sheet", returns=BrewSheet)
def write_sheet(*, beer: Material, content: SheetContent, actor: User, request_id: UUID) -> BrewSheet:
    """The beer has a draft of its next version. Raises WrongMaterial, SheetDraftThere, InvalidInput, SheetFaults."""
    return _write(beer, content, actor, request_id)


@once("carry_over_sheet", returns=BrewSheet)
def carry_over_sheet(
    *, beer: Material, content: SheetContent, in_use_since: datetime, actor: User, request_id: UUID
) -> BrewSheet:
    """The beer has its next version, as it has been on paper: in use since that moment, and never to be changed.

    Raises InTheFuture, SheetNotComplete, and what `write_sheet` raises.
    """
    refuse_the_future(in_use_since, "in_use_since")
    sheet = _write(beer, content, actor, request_id)
    _refuse_incomplete(sheet)
    sheet.state, sheet.written_at, sheet.put_in_use_at = BrewSheet.State.IN_USE, in_use_since, in_use_since
    sheet.save(update_fields=["state", "written_at", "put_in_use_at"])
    return sheet


@once("copy_sheet", returns=BrewSheet)
def copy_sheet(*, sheet: BrewSheet, actor: User, request_id: UUID, beer: Material | None = None) -> BrewSheet:
    """The beer, or `beer`, has a draft of its next version that says what `sheet` says.

    Raises WrongMaterial, SheetDraftThere.
    """
    return _write(beer or sheet.beer, content_of(sheets_in_full().get(pk=sheet.pk)), actor, request_id)


@once("change_sheet", returns=BrewSheet)
def change_sheet(
    *, sheet: BrewSheet, revision: int, changes: Mapping[str, Any], actor: User, request_id: UUID
) -> BrewSheet:
    """The draft says what `changes` say; the keys are those of SheetContent, and a list is changed as a whole.

    Raises SheetNoDraft, SheetChangedMeanwhile, InvalidInput, SheetFaults.
    """
    draft = _locked_draft(sheet, revision)
    content = replace(content_of(sheets_in_full().get(pk=draft.pk)), **changes)
    refuse_bad_content(content)
    draft.revision += 1
    draft.written_by, draft.written_at = actor, now()
    _put_down(draft, content)
    return draft


@once("put_sheet_in_use", returns=BrewSheet)
def put_sheet_in_use(*, sheet: BrewSheet, revision: int, actor: User, request_id: UUID) -> BrewSheet:
    """It can be brewed by the sheet, and nobody changes it any more.

    Raises SheetNoDraft, SheetChangedMeanwhile, SheetNotComplete with each thing that is missing.
    """
    draft = _locked_draft(sheet, revision)
    _refuse_incomplete(draft)
    draft.state, draft.put_in_use_at = BrewSheet.State.IN_USE, now()
    draft.save(update_fields=["state", "put_in_use_at"])
    return draft


@once("discard_sheet", returns=BrewSheet)
def discard_sheet(*, sheet: BrewSheet, revision: int, actor: User, request_id: UUID) -> BrewSheet:
    """The draft is put away: the beer has none, and this one stays on record as discarded, by whom and when.

    Raises SheetNoDraft, SheetChangedMeanwhile.
    """
    draft = _locked_draft(sheet, revision)
    draft.state = BrewSheet.State.DISCARDED
    draft.revision += 1
    draft.written_by, draft.written_at = actor, now()
    draft.save(update_fields=["state", "revision", "written_by", "written_at"])
    return draft


@once("withdraw_sheet", returns=BrewSheet)
def withdraw_sheet(*, sheet: BrewSheet, actor: User, request_id: UUID) -> BrewSheet:
    """Nothing new is brewed by the sheet. Raises SheetNotInUse, SheetWithdrawn, SheetStillPlanned."""
    if BrewSheet.objects.filter(pk=sheet.pk, state=BrewSheet.State.WITHDRAWN).exists():
        raise SheetWithdrawn(sheet=sheet, field="sheet")
    locked = locked_in_use(sheet)
    _refuse_planned(locked)
    locked.state = BrewSheet.State.WITHDRAWN
    locked.save(update_fields=["state"])
    return locked


def locked_in_use(sheet: BrewSheet) -> BrewSheet:
    """Return the sheet, fresh and locked, so that nobody withdraws it meanwhile. Raises SheetNotInUse."""
    locked = _locked(sheet)
    if locked.state != BrewSheet.State.IN_USE:
        state = "a draft" if locked.state == BrewSheet.State.DRAFT else locked.get_state_display()
        raise SheetNotInUse(sheet=locked, state=state, field="sheet")
    return locked


def _write(beer: Material, content: SheetContent, actor: User, request_id: UUID) -> BrewSheet:
    if beer.kind != Material.Kind.BEER:
        raise WrongMaterial(lot=beer.name, kind=beer.get_kind_display(), wanted="a beer", field="beer")
    Material.objects.select_for_update().get(pk=beer.pk)
    last = BrewSheet.objects.filter(beer=beer).select_related("beer", "written_by").order_by("-version").first()
    _refuse_draft_there(beer)
    refuse_bad_content(content)
    sheet = BrewSheet(
        beer=beer,
        version=last.version + 1 if last else 1,
        written_by=actor,
        written_at=now(),
        request_id=request_id,
    )
    _put_down(sheet, content)
    return sheet


def _refuse_draft_there(beer: Material) -> None:
    there = BrewSheet.objects.filter(beer=beer, state=BrewSheet.State.DRAFT).select_related("beer", "written_by")
    for draft in there:
        moment, person = on_the_wall(draft.written_at), draft.written_by
        raise SheetDraftThere(sheet=draft, person=person, moment=moment, field="beer")


def _put_down(sheet: BrewSheet, content: SheetContent) -> None:
    """The sheet says what the content says, line by line, and nothing else."""
    for name in SINGLE:
        setattr(sheet, name, getattr(content, name))
    with transaction.atomic():
        sheet.save()
        sheet.formats.set(content.formats)
        for name in LISTS:
            _put_lines(sheet, name, getattr(content, name))


def _put_lines(sheet: BrewSheet, name: str, lines: tuple[object, ...]) -> None:
    rows = getattr(sheet, name)
    rows.all().delete()
    places = [{} if name == "ions" else {"position": position} for position, _ in enumerate(lines, start=1)]
    rows.model.objects.bulk_create(
        rows.model(sheet=sheet, **place, **vars(line)) for place, line in zip(places, lines, strict=True)
    )


def _locked(sheet: BrewSheet) -> BrewSheet:
    rows = BrewSheet.objects.select_for_update(of=("self",)).select_related("beer", "written_by")
    return rows.get(pk=sheet.pk)


def _locked_draft(sheet: BrewSheet, revision: int) -> BrewSheet:
    """Return the draft, fresh and locked. Raises SheetNoDraft, SheetChangedMeanwhile."""
    locked = _locked(sheet)
    if locked.state != BrewSheet.State.DRAFT:
        # Discarding is the last that is written of a draft; what was in use says since when.
        moment = on_the_wall(locked.put_in_use_at or locked.written_at)
        raise SheetNoDraft(sheet=locked, state=_NO_DRAFT[BrewSheet.State(locked.state)], moment=moment, field="sheet")
    if locked.revision != revision:
        raise SheetChangedMeanwhile(
            sheet=locked,
            revision=locked.revision,
            moment=on_the_wall(locked.written_at),
            person=locked.written_by,
            seen=revision,
            field="revision",
        )
    return locked


def _refuse_incomplete(draft: BrewSheet) -> None:
    content = content_of(sheets_in_full().get(pk=draft.pk))
    missing = [MissingOnSheet(what=words, field=field) for field, words in _missing(content).items()]
    if missing:
        raise SheetNotComplete(missing, sheet=draft)


def _missing(content: SheetContent) -> dict[str, str]:
    """Return what nobody could brew without, by field."""
    phases = {step.phase for step in content.cellar_steps}
    there = {
        "grains": ("The grain bill", bool(content.grains)),
        "mash_steps": ("The mash", bool(content.mash_steps)),
        "mash_liquor": ("The volume of the mash liquor", content.mash_liquor_micro is not None),
        "boil_minutes": ("The time of the boil", content.boil_minutes > 0),
        "hops": ("The hops for the bitterness", bool(content.hops) or not content.bitterness_milli_bu),
        "yeast": ("The yeast", content.yeast is not None),
        "pitch_cells": ("The pitching rate", content.pitch_cells is not None),
        "cellar_steps": ("The fermentation", CellarStep.Phase.FERMENTATION in phases),
    }
    return {field: words for field, (words, is_there) in there.items() if not is_there}


def _refuse_planned(sheet: BrewSheet) -> None:
    plans = list(BrewPlan.objects.filter(sheet=sheet, state=BrewPlan.State.PLANNED).order_by("brew_on", "code"))
    if plans:
        codes = [plan.code for plan in plans[:MOST_PLANS_TOLD]] + (["more"] if len(plans) > MOST_PLANS_TOLD else [])
        words = f"Brew {codes[0]} is" if len(codes) == 1 else f"Brews {', '.join(codes[:-1])} and {codes[-1]} are"
        raise SheetStillPlanned(plans=words, sheet=sheet, field="sheet")
