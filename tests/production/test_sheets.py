"""Brew sheets: written as drafts, put in use for good, withdrawn at the end, and brewed by in between."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from django.db import DatabaseError, transaction
from hypothesis import given
from hypothesis import strategies as st

from brewery.kernel.clock import now
from brewery.kernel.errors import InvalidInput
from brewery.production.models import BrewPlan, BrewSheet
from brewery.production.queries.sheet_contents import (
    CellarLine,
    GrainLine,
    HopLine,
    IonTarget,
    MashLine,
    SaltLine,
    content_of,
)
from brewery.production.queries.sheets import sheet_in_use, sheets_of_beer
from brewery.production.services.mash_checks import mash_faults
from brewery.production.services.sheet_refusals import (
    SheetChangedMeanwhile,
    SheetDraftThere,
    SheetFaults,
    SheetNoDraft,
    SheetNotComplete,
    SheetNotInUse,
    SheetOfAnotherBeer,
    SheetStillPlanned,
    SheetWithdrawn,
)
from brewery.production.services.sheets import (
    carry_over_sheet,
    copy_sheet,
    discard_sheet,
    put_sheet_in_use,
    withdraw_sheet,
    write_sheet,
)
from brewery.production.services.work import start_brew
from inventory.models import Material
from inventory.services.refusals import InTheFuture, WrongMaterial
from tests.brewhouse import Brewhouse, at, micro
from tests.production.brewday import brew_by
from tests.production.sheets import DECOCTION, change, content, draft, fresh, in_use
from tests.standing import built_once


@built_once
def ale(brewhouse: Brewhouse) -> Material:
    return Material.objects.create(code="ALE", name="Quillmere Ale", kind="beer", base_unit="L")


def faults_of(refusal: InvalidInput | SheetFaults | SheetNotComplete) -> set[str | None]:
    return {fault.field for fault in refusal.all_faults()}


def test_a_sheet_says_what_was_written_line_by_line(brewhouse: Brewhouse):
    sheet = draft(brewhouse)
    assert (sheet.version, sheet.state, sheet.revision) == (1, "draft", 1)
    said = content_of(fresh(sheet))
    wanted = content(brewhouse)
    assert set(said.formats) == set(wanted.formats)
    assert replace(said, formats=()) == replace(wanted, formats=())


def test_a_changed_draft_says_the_new_and_nothing_of_the_old(brewhouse: Brewhouse):
    sheet = draft(brewhouse)
    grains = (GrainLine(brewhouse.material("PILS"), weight_micro=micro("500 kg")),)
    changed = change(brewhouse, sheet, grains=grains, hops=(), formats=(), note="", bitterness_milli_bu=None)
    said = content_of(fresh(changed))
    assert (said.grains, said.hops, said.formats, said.note, said.bitterness_milli_bu) == (grains, (), (), "", None)
    assert (changed.revision, fresh(changed).cellar_steps.count()) == (2, 3)


def test_two_people_do_not_overwrite_each_other_unseen(brewhouse: Brewhouse):
    sheet = draft(brewhouse)
    change(brewhouse, sheet, note="mine")
    with pytest.raises(SheetChangedMeanwhile, match=r"version 1 of Quillmere Lager is at revision 2 .* revision 1"):
        change(brewhouse, sheet, note="yours")
    with pytest.raises(SheetChangedMeanwhile):
        put_sheet_in_use(sheet=sheet, revision=1, **brewhouse.by("brewing"))
    assert fresh(sheet).note == "mine"


def test_a_repeated_request_writes_one_sheet(brewhouse: Brewhouse):
    asked: dict[str, Any] = {"beer": brewhouse.material("LAGER"), "content": content(brewhouse)}
    by = brewhouse.by("brewing")
    assert write_sheet(**asked, **by) == write_sheet(**asked, **by)
    assert BrewSheet.objects.count() == 1


def test_a_beer_has_one_draft_at_a_time(brewhouse: Brewhouse):
    draft(brewhouse)
    with pytest.raises(SheetDraftThere, match="is writing version 1 of Quillmere Lager, a draft since"):
        draft(brewhouse)


def test_versions_count_up_for_each_beer(brewhouse: Brewhouse, ale: Material):
    first, second = in_use(brewhouse), in_use(brewhouse)
    other = draft(brewhouse, "ALE")
    assert [first.version, second.version, other.version] == [1, 2, 1]
    assert [sheet.version for sheet in sheets_of_beer(first.beer)] == [2, 1]
    assert sheet_in_use(first.beer) == second
    assert sheet_in_use(ale) is None


def test_a_sheet_in_use_is_not_changed_and_a_new_version_begins_as_its_copy(brewhouse: Brewhouse, ale: Material):
    sheet = in_use(brewhouse)
    with pytest.raises(SheetNoDraft, match=r"version 1 of Quillmere Lager is in use since .*Write a new version"):
        change(brewhouse, sheet)
    copy = copy_sheet(sheet=sheet, **brewhouse.by("brewing"))
    assert (copy.version, copy.state) == (2, "draft")
    assert content_of(fresh(copy)) == content_of(fresh(sheet))
    assert content_of(fresh(copy_sheet(sheet=sheet, beer=ale, **brewhouse.by("brewing")))) == content_of(fresh(sheet))


def test_only_beers_have_sheets(brewhouse: Brewhouse):
    with pytest.raises(WrongMaterial, match="Lager wort is a wort"):
        draft(brewhouse, "WORT")


def test_a_sheet_nobody_could_brew_by_is_not_put_in_use_and_each_missing_thing_is_told(brewhouse: Brewhouse):
    bare = draft(
        brewhouse,
        grains=(),
        hops=(),
        mash_steps=(),
        mash_liquor_micro=None,
        boil_minutes=0,
        yeast=None,
        pitch_cells=None,
        cellar_steps=(CellarLine("maturation", 0, 7),),
    )
    with pytest.raises(SheetNotComplete) as caught:
        put_sheet_in_use(sheet=bare, revision=1, **brewhouse.by("brewing"))
    assert faults_of(caught.value) == {
        "grains",
        "hops",
        "mash_steps",
        "mash_liquor",
        "boil_minutes",
        "yeast",
        "pitch_cells",
        "cellar_steps",
    }
    assert "The grain bill is missing." in str(caught.value.all_faults()[0])
    assert fresh(bare).state == "draft"


def test_a_beer_without_bitterness_needs_no_hops(brewhouse: Brewhouse):
    assert in_use(brewhouse, hops=(), bitterness_milli_bu=None).state == "in_use"


def test_a_withdrawn_sheet_is_brewed_by_no_more(brewhouse: Brewhouse):
    sheet = in_use(brewhouse)
    withdraw_sheet(sheet=sheet, **brewhouse.by("brewing"))
    assert sheet_in_use(sheet.beer) is None
    with pytest.raises(SheetWithdrawn):
        withdraw_sheet(sheet=sheet, **brewhouse.by("brewing"))
    with pytest.raises(SheetNoDraft, match="withdrawn, and was in use since"):
        change(brewhouse, sheet)


def test_a_draft_is_not_withdrawn(brewhouse: Brewhouse):
    with pytest.raises(SheetNotInUse, match="is a draft"):
        withdraw_sheet(sheet=draft(brewhouse), **brewhouse.by("brewing"))


def test_a_draft_is_discarded_as_it_was_seen_and_makes_room_for_another(brewhouse: Brewhouse):
    sheet = draft(brewhouse)
    with pytest.raises(SheetChangedMeanwhile):
        discard_sheet(sheet=sheet, revision=sheet.revision + 1, **brewhouse.by("brewing"))
    gone = discard_sheet(sheet=sheet, revision=sheet.revision, **brewhouse.by("brewing"))
    assert (gone.state, gone.put_in_use_at) == ("discarded", None)
    with pytest.raises(SheetNoDraft, match="is discarded since"):
        discard_sheet(sheet=sheet, revision=gone.revision, **brewhouse.by("brewing"))
    with pytest.raises(SheetNotInUse, match="is discarded"):
        brew_by(brewhouse, gone)
    assert draft(brewhouse).version == sheet.version + 1


def test_a_discard_that_is_asked_twice_is_one(brewhouse: Brewhouse):
    sheet = draft(brewhouse)
    asked = {"sheet": sheet, "revision": sheet.revision, **brewhouse.by("brewing")}
    assert discard_sheet(**asked) == discard_sheet(**asked)


def test_only_a_draft_is_discarded(brewhouse: Brewhouse):
    sheet = in_use(brewhouse)
    with pytest.raises(SheetNoDraft, match="is in use since"):
        discard_sheet(sheet=sheet, revision=sheet.revision, **brewhouse.by("brewing"))


def test_a_discarded_sheet_stays_as_it_is_whoever_writes(brewhouse: Brewhouse):
    sheet = draft(brewhouse)
    discard_sheet(sheet=sheet, revision=sheet.revision, **brewhouse.by("brewing"))
    rows = BrewSheet.objects.filter(pk=sheet.pk)
    for changed in ({"note": "again"}, {"state": "draft"}, {"state": "in_use", "put_in_use_at": now()}):
        with pytest.raises(DatabaseError, match="a_sheet_in_use"), transaction.atomic():
            rows.update(**changed)


def test_a_sheet_that_brews_are_planned_by_is_not_withdrawn(brewhouse: Brewhouse):
    sheet = in_use(brewhouse)
    for number in range(1, 6):
        BrewPlan.objects.create(
            code=f"P{number}",
            sheet=sheet,
            brew_on=date(2026, 3, number),
            cold_wort_micro=micro("30 hL"),
            planned_by=brewhouse.people["brewing"],
            planned_at=now(),
            request=sheet.request,
        )
    with pytest.raises(SheetStillPlanned, match="Brews P1, P2, P3 and more are planned by version 1"):
        withdraw_sheet(sheet=sheet, **brewhouse.by("brewing"))
    BrewPlan.objects.exclude(code="P1").delete()
    with pytest.raises(SheetStillPlanned, match="Brew P1 is planned"):
        withdraw_sheet(sheet=sheet, **brewhouse.by("brewing"))


WRONG: dict[str, tuple[dict[str, Any], set[str]]] = {
    "no wort": ({"cold_wort_micro": 0}, {"cold_wort"}),
    "gravity beyond the table": ({"original_gravity_milli_p": 26_000}, {"original_gravity_p"}),
    "a beer that grows": ({"final_gravity_milli_p": 12_000}, {"final_gravity_p"}),
    "more than all of the extract": ({"yield_ppm": 1_000_001}, {"yield_pct"}),
    "too long a note": ({"note": "x" * 4_001}, {"note"}),
    "no mash steps boiled": ({"boil_minutes": 601}, {"boil_minutes"}),
    "two ions": ({"ions": (IonTarget("calcium", 1), IonTarget("calcium", 2))}, {"ions[1].ion"}),
    "an ion nobody knows": ({"ions": (IonTarget("iron", -1),)}, {"ions[0].ion", "ions[0].mg_per_l"}),
    "a phase nobody knows": (
        {"cellar_steps": (CellarLine("sleep", 60_000, 0),)},
        {"cellar_steps[0].phase", "cellar_steps[0].temperature_c", "cellar_steps[0].days"},
    ),
    "too many lines": ({"cellar_steps": (CellarLine("cooling", 0, 1),) * 101}, {"cellar_steps"}),
}


@pytest.mark.parametrize("case", WRONG)
def test_what_cannot_be_is_refused_by_field(brewhouse: Brewhouse, case: str):
    said, fields = WRONG[case]
    with pytest.raises((InvalidInput, SheetFaults)) as caught:
        draft(brewhouse, **said)
    assert faults_of(caught.value) == fields


def test_materials_of_another_kind_are_refused_by_field(brewhouse: Brewhouse):
    crown, keg = brewhouse.material("CROWN"), brewhouse.material("KEG50")
    wrong = content(
        brewhouse,
        yeast=crown,
        liquor=crown,
        formats=(crown, keg, keg),
        grains=(GrainLine(crown, share_ppm=1_000_000),),
        hops=(HopLine(crown, "boil", 10, weight_micro=1),),
        salts=(SaltLine(crown, "mash", 1),),
    )
    with pytest.raises(SheetFaults) as caught:
        write_sheet(beer=brewhouse.material("LAGER"), content=wrong, **brewhouse.by("brewing"))
    assert faults_of(caught.value) == {
        "yeast",
        "liquor",
        "formats[0]",
        "formats[2]",
        "grains[0].material",
        "hops[0].material",
        "salts[0].material",
    }
    assert BrewSheet.objects.count() == 0


def test_shares_of_grain_add_up_to_one_exactly_and_are_not_mixed_with_weights(brewhouse: Brewhouse):
    pils, munich = brewhouse.material("PILS"), brewhouse.material("MUNICH")
    with pytest.raises(InvalidInput, match=r"'99.9999 %' is not valid. The shares add up to 100 % exactly"):
        draft(brewhouse, grains=(GrainLine(pils, share_ppm=900_000), GrainLine(munich, share_ppm=99_999)))
    with pytest.raises(InvalidInput, match="all of the grain as shares, or all of it as weights"):
        draft(brewhouse, grains=(GrainLine(pils, share_ppm=1_000_000), GrainLine(munich, weight_micro=1)))
    with pytest.raises(SheetFaults) as caught:
        draft(brewhouse, grains=(GrainLine(pils, 1, 1), GrainLine(pils, weight_micro=0), GrainLine(munich, 0)))
    assert faults_of(caught.value) >= {"grains[0]", "grains[1].weight", "grains[1].material", "grains[2].share_pct"}


def test_hops_are_weighed_one_way_and_lie_within_the_boil(brewhouse: Brewhouse):
    saaz = brewhouse.material("SAAZ")
    hops = (
        HopLine(saaz, "boil", 71, weight_micro=1),
        HopLine(saaz, "boil", 10, weight_micro=1, alpha_micro=1),
        HopLine(saaz, "first_wort", 70, temperature_milli_c=99_000, weight_micro=1),
        HopLine(saaz, "whirlpool", 20, weight_micro=1),
        HopLine(saaz, "whirlpool", 241, temperature_milli_c=30_000, weight_micro=0),
        HopLine(saaz, "cold", 60 * 24 * 61, temperature_milli_c=40_000, weight_micro=1),
        HopLine(saaz, "mash", 1, weight_micro=1),
        HopLine(saaz, "cold", 60 * 24 * 60, temperature_milli_c=2_000, weight_micro=1),
    )
    with pytest.raises(SheetFaults) as caught:
        draft(brewhouse, hops=hops)
    assert faults_of(caught.value) == {
        "hops[0].minutes",
        "hops[1]",
        "hops[2].temperature_c",
        "hops[3].temperature_c",
        "hops[4].minutes",
        "hops[4].temperature_c",
        "hops[4].weight",
        "hops[5].minutes",
        "hops[5].temperature_c",
        "hops[6].stage",
    }


def test_salts_are_some_and_stand_once_for_each_liquor(brewhouse: Brewhouse):
    gypsum = brewhouse.material("GYPSUM")
    with pytest.raises(SheetFaults) as caught:
        draft(brewhouse, salts=(SaltLine(gypsum, "mash", 0), SaltLine(gypsum, "mash", 1), SaltLine(gypsum, "tun", 1)))
    assert faults_of(caught.value) == {"salts[0].quantity", "salts[1].material", "salts[2].into"}
    assert (
        fresh(draft(brewhouse, salts=(SaltLine(gypsum, "mash", 1), SaltLine(gypsum, "sparge", 1)))).salts.count() == 2
    )


def mash(*steps: MashLine) -> list[tuple[str | None, str]]:
    return [(fault.field, str(fault)) for fault in mash_faults(steps)]


IN, REST = MashLine("mash_tun", "mash_in", 62_000, 10), MashLine("mash_tun", "rest", 63_000, 30)
OFF, BOIL, BACK = DECOCTION[2], DECOCTION[4], DECOCTION[5]
OUT, SPARGE = DECOCTION[7], DECOCTION[8]
MASHES: dict[str, tuple[tuple[MashLine, ...], str, str]] = {
    "no mash-in": ((REST,), "mash_steps[0].action", "begins with mashing in"),
    "mashed in twice": ((IN, IN), "mash_steps[1].action", "mashed in already"),
    "drawn off for ever": ((IN, OFF, BOIL), "mash_steps[1].action", "never put back"),
    "drawn off twice": ((IN, OFF, OFF, BACK), "mash_steps[2].action", "Put back what step 2 drew off first"),
    "nothing to put back": ((IN, BACK), "mash_steps[1].action", "Nothing is drawn off"),
    "the whole mash boiled": ((IN, BOIL), "mash_steps[1].action", "Nothing is drawn off"),
    "mash-out without the part": ((IN, OFF, OUT, BACK), "mash_steps[2].action", "Put back first"),
    "a rest after the sparge": ((IN, SPARGE, REST), "mash_steps[2].action", "cannot come after “sparge”"),
    "too hot a mash": ((IN, replace(REST, temperature_milli_c=86_000)), "mash_steps[1].temperature_c", "5 to 85 °C"),
    "a cold boil": ((IN, OFF, replace(BOIL, temperature_milli_c=80_000), BACK), "mash_steps[2].temperature_c", "90 to"),
    "all drawn off": ((IN, replace(OFF, share_ppm=1_000_000), BACK), "mash_steps[1].share_pct", "less than all"),
    "a share of a rest": ((IN, replace(REST, share_ppm=1)), "mash_steps[1].share_pct", "Only what is drawn off"),
    "a vessel nobody has": ((replace(IN, vessel="bath"),), "mash_steps[0].vessel", "Choose one of"),
    "a deed nobody does": ((replace(IN, action="stare"),), "mash_steps[0].action", "Choose one of"),
    "too long": ((replace(IN, minutes=601),), "mash_steps[0].minutes", "0 to 600"),
}


@pytest.mark.parametrize("case", MASHES)
def test_a_mash_that_cannot_be_is_told_at_its_step(case: str):
    steps, field, words = MASHES[case]
    ((told, sentence), *_) = [fault for fault in mash(*steps) if fault[0] == field]
    assert (told, words in sentence) == (field, True)


def test_infusion_and_decoction_are_fine():
    assert mash() == mash(IN) == mash(IN, REST, OUT, SPARGE, SPARGE) == mash(*DECOCTION) == []
    assert mash(IN, OFF, BOIL, BACK, OFF, BOIL, BACK, OUT) == []


@given(st.lists(st.sampled_from([IN, REST, OFF, BOIL, BACK, OUT, SPARGE]), max_size=9))
def test_whatever_mash_is_let_pass_puts_back_all_that_it_draws_off(steps: list[MashLine]):
    if not mash(*steps):
        names = [step.action for step in steps if step.action in ("draw_off", "put_back")]
        assert names == ["draw_off", "put_back"] * (len(names) // 2)


def test_more_steps_than_a_mash_has_are_refused():
    assert mash(IN, *[REST] * 40)[0][0] == "mash_steps"


def test_a_brew_by_a_sheet_is_as_long_as_the_sheet_or_as_was_said(brewhouse: Brewhouse):
    sheet = in_use(brewhouse)
    facts = {"beer": sheet.beer, "started_at": at(2), "sheet": sheet}
    first = start_brew(code="B1", **facts, **brewhouse.by("brewing"))
    second = start_brew(code="B2", cold_wort_micro=micro("28 hL"), **facts, **brewhouse.by("brewing"))
    assert (first.sheet, first.cold_wort_micro, second.cold_wort_micro) == (sheet, micro("30 hL"), micro("28 hL"))


def test_nobody_brews_by_a_draft_a_withdrawn_sheet_or_that_of_another_beer(brewhouse: Brewhouse, ale: Material):
    sheet = draft(brewhouse)
    facts: dict[str, Any] = {"code": "B1", "started_at": at(2)}
    with pytest.raises(SheetNotInUse, match="version 1 of Quillmere Lager is a draft"):
        start_brew(beer=sheet.beer, sheet=sheet, **facts, **brewhouse.by("brewing"))
    used = put_sheet_in_use(sheet=sheet, revision=1, **brewhouse.by("brewing"))
    with pytest.raises(SheetOfAnotherBeer):
        start_brew(beer=ale, sheet=used, **facts, **brewhouse.by("brewing"))
    with pytest.raises(InvalidInput, match="above zero"):
        start_brew(beer=used.beer, sheet=used, cold_wort_micro=0, **facts, **brewhouse.by("brewing"))
    with pytest.raises(InvalidInput, match="Say by which sheet"):
        start_brew(beer=used.beer, cold_wort_micro=1, **facts, **brewhouse.by("brewing"))
    withdraw_sheet(sheet=used, **brewhouse.by("brewing"))
    with pytest.raises(SheetNotInUse, match="is withdrawn"):
        start_brew(beer=used.beer, sheet=used, **facts, **brewhouse.by("brewing"))


def test_a_sheet_that_was_on_paper_is_in_use_since_it_was(brewhouse: Brewhouse):
    beer = brewhouse.material("LAGER")
    sheet = carry_over_sheet(beer=beer, content=content(brewhouse), in_use_since=at(0), **brewhouse.by("brewing"))
    told = fresh(sheet)
    assert (told.version, told.state, told.put_in_use_at, told.written_at) == (1, "in_use", at(0), at(0))
    assert (
        carry_over_sheet(beer=beer, content=content(brewhouse), in_use_since=at(1), **brewhouse.by("brewing")).version
        == 2
    )


def test_a_sheet_on_paper_is_not_in_use_from_tomorrow_and_says_what_is_needed(brewhouse: Brewhouse):
    beer = brewhouse.material("LAGER")
    with pytest.raises(InTheFuture):
        carry_over_sheet(
            beer=beer, content=content(brewhouse), in_use_since=now() + timedelta(days=1), **brewhouse.by("brewing")
        )
    with pytest.raises(SheetNotComplete) as refused:
        carry_over_sheet(
            beer=beer,
            content=replace(content(brewhouse), mash_steps=()),
            in_use_since=at(0),
            **brewhouse.by("brewing"),
        )
    assert faults_of(refused.value) == {"mash_steps"}
    assert not BrewSheet.objects.exists()
