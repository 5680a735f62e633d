"""The log of a brew day: what is written stays, corrections replace it, and what is off the sheet is marked."""

import uuid
from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from brewery.kernel.clock import now
from brewery.kernel.errors import InvalidInput
from brewery.production.models import LogEntry
from brewery.production.queries.brew_log import log_of, readings_of
from brewery.production.queries.brewhouse import figures_of
from brewery.production.services.brew_log import LogLine, write_in_log
from brewery.production.services.log_refusals import BeforeTheBrew, CorrectedAlready
from inventory.services.refusals import InTheFuture, ReasonMissing
from tests.brewhouse import Brewhouse, at
from tests.ledger import refused
from tests.production.brewday import brew_by, correct, reading, sheet_of, write
from tests.standing import built_once


def test_a_reading_stands_in_the_log_with_its_unit_and_vessel(brewhouse: Brewhouse):
    brew = brew_by(brewhouse, None)
    write(brewhouse, brew, reading("mash", "temperature", "63.5", vessel="mash tun"), hours=3)
    write(brewhouse, brew, LogLine("boil", words="boil over, skimmed"), hours=5)
    (first, second) = log_of(brew)
    assert (first.says, first.entry.vessel, first.entry.actor.username) == (
        "Temperature 63.5 °C",
        "mash tun",
        "brewing",
    )
    assert (second.says, second.entry.happened_at) == ("boil over, skimmed", at(5))


@pytest.mark.parametrize(
    ("line", "field", "problem"),
    [
        (LogLine("mash"), "words", "Give a reading, or say what was done."),
        (LogLine("supper", words="x"), "step", "Write one of: mash, lauter"),
        (LogLine("mash", "mood", 1), "property", "Write one of: temperature, volume"),
        (LogLine("mash", "ph"), "value", "Give the figure; it must be 3 to 9."),
        (LogLine("mash", "", 1), "property", "Say what was read."),
        (reading("mash", "ph", "54"), "value", "pH must be 3 to 9. Read it again."),
        (reading("mash", "temperature", "145"), "value", "Temperature must be -5 to 110 °C. Read it again."),
        (reading("mash", "temperature", "63", hot=True), "is_hot", "Only a volume is read hot or cold."),
    ],
)
def test_a_line_that_cannot_be_is_refused_by_its_field(brewhouse: Brewhouse, line: LogLine, field: str, problem: str):
    brew = brew_by(brewhouse, None)
    with pytest.raises(InvalidInput, match=problem) as caught:
        write(brewhouse, brew, line)
    assert caught.value.field == field
    assert LogEntry.objects.count() == 0


def test_nothing_is_read_in_the_future_or_before_the_brew_began(brewhouse: Brewhouse):
    brew = brew_by(brewhouse, None, hours=2)
    line = reading("mash", "ph", "5.4")
    with pytest.raises(InTheFuture):
        write(brewhouse, brew, line, moment=now() + timedelta(minutes=1))
    sentence = "Brew B1 began at 2026-03-02 11:00, after 2026-03-02 10:00."
    with refused(BeforeTheBrew, sentence, field="happened_at"):
        write(brewhouse, brew, line, hours=1)


def test_the_same_request_writes_one_line(brewhouse: Brewhouse):
    brew = brew_by(brewhouse, None)
    asked = {"brew": brew, "line": reading("mash", "ph", "5.4"), "happened_at": at(3), **brewhouse.by("brewing")}
    assert write_in_log(**asked) == write_in_log(**asked)
    assert LogEntry.objects.count() == 1


def test_a_correction_replaces_a_line_and_keeps_it(brewhouse: Brewhouse):
    brew = brew_by(brewhouse, None)
    wrong = write(brewhouse, brew, reading("first_wort", "gravity", "81"[::-1]))
    right = correct(brewhouse, wrong, reading("first_wort", "gravity", "17.9"), reason="digits swapped")
    old, new = log_of(brew)
    assert (old.says, old.is_replaced, new.says, new.is_replaced) == ("Gravity 18 °P", True, "Gravity 17.9 °P", False)
    assert (new.entry.replaces, new.entry.reason) == (wrong, "digits swapped")
    assert readings_of(brew) == {("first_wort", "gravity"): right}


def test_a_line_is_corrected_once_and_the_correction_may_be_corrected_again(brewhouse: Brewhouse):
    brew = brew_by(brewhouse, None)
    first = write(brewhouse, brew, reading("mash", "ph", "5.5"))
    second = correct(brewhouse, first, reading("mash", "ph", "5.4"))
    with pytest.raises(CorrectedAlready, match=r"it says pH 5\.4 now"):
        correct(brewhouse, first, reading("mash", "ph", "5.3"))
    third = correct(brewhouse, second, reading("mash", "ph", "5.3"))
    assert readings_of(brew) == {("mash", "ph"): third}


def test_a_correction_needs_a_reason(brewhouse: Brewhouse):
    entry = write(brewhouse, brew_by(brewhouse, None), reading("mash", "ph", "5.5"))
    with refused(ReasonMissing, "A correction needs a reason.", field="reason"):
        correct(brewhouse, entry, reading("mash", "ph", "5.4"), reason=" ")


@pytest.mark.parametrize("change", ["update", "delete", "replace twice"])
def test_the_database_keeps_the_lines_round_the_service(brewhouse: Brewhouse, change: str):
    entry = write(brewhouse, brew_by(brewhouse, None), reading("mash", "ph", "5.5"))
    correct(brewhouse, entry, reading("mash", "ph", "5.4"))
    rows = LogEntry.objects.filter(pk=entry.pk)
    again = LogEntry(
        **{
            field.attname: getattr(entry, field.attname)
            for field in LogEntry._meta.concrete_fields
            if not field.primary_key
        }
    )
    again.replaces, again.reason = entry, "once more"
    work = {
        "update": lambda: rows.update(value_micro=5_300_000),
        "delete": rows.delete,
        "replace twice": again.save,
    }[change]
    with pytest.raises(IntegrityError), transaction.atomic():
        work()
    assert list(LogEntry.objects.values_list("value_micro", flat=True)) == [5_500_000, 5_400_000]


def test_the_rule_that_is_broken_is_named(brewhouse: Brewhouse):
    entry = write(brewhouse, brew_by(brewhouse, None), reading("mash", "ph", "5.5"))
    with pytest.raises(IntegrityError, match="lines_of_a_brew_log_are_never_changed"), transaction.atomic():
        LogEntry.objects.filter(pk=entry.pk).update(words=str(uuid.uuid4()))


def test_what_is_off_the_sheet_is_marked_with_both_figures(brewhouse: Brewhouse):
    brew = brew_by(brewhouse, sheet_of(brewhouse))
    for line in (
        reading("mash", "temperature", "66"),  # the nearest rest is 63
        reading("mash", "temperature", "62.5"),
        reading("knock_out", "gravity", "11.2"),
        reading("knock_out", "gravity", "11.8"),
        reading("pitched", "temperature", "9.5"),
        reading("finished", "bitterness", "37"),
        reading("knock_out", "volume", "1000"),
    ):
        write(brewhouse, brew, line)
    assert [line.deviation for line in log_of(brew)] == [
        "66 °C; the sheet says 63 °C, give or take 1 °C.",
        "",
        "11.2 °P; the sheet says 12 °P, give or take 0.3 °P.",
        "",
        "",
        # Reproducibility of EBC bitterness at 30 BU: 0.72 + 0.14 · 30 = 4.92, handbucher.com 333008.
        "37 BU; the sheet says 30 BU, give or take 4.9 BU.",
        "",
    ]


def test_volumes_are_compared_cold_and_for_the_length_that_is_brewed(brewhouse: Brewhouse):
    brew = brew_by(brewhouse, sheet_of(brewhouse), cold_wort_micro=2_000_000_000)
    write(brewhouse, brew, reading("cast_out", "volume", "2083", hot=True))
    write(brewhouse, brew, reading("cast_out", "volume", "2083"))
    # 4 % contraction: Zentralblatt für das Deutsche Reich 46 (1918) 1011; 2083 L are 2000 L at 20 °C.
    kept, missed = log_of(brew)
    assert (kept.deviation, missed.deviation) == ("", "2083 L; the sheet says 2000 L, give or take 40 L.")


def test_without_a_sheet_a_slip_of_the_pen_is_still_doubted(brewhouse: Brewhouse):
    brew = brew_by(brewhouse, None)
    write(brewhouse, brew, reading("mash", "temperature", "26"))
    (line,) = log_of(brew)
    assert line.deviation == ""
    assert line.doubt.startswith("A mash rest of 26 °C is unusual: 35 to 79 °C")


@built_once
def brewed(brewhouse: Brewhouse) -> Brewhouse:
    """200 kg of malt drawn less 10 kg brought back; 1000 L of wort knocked out and 30 L lost."""
    brewhouse.stock_up()
    brew = brew_by(brewhouse, None)
    mistake = brewhouse.draw(brew, ("M1", "SILO1", "50 kg"), hours=2)
    brewhouse.reverse(mistake)
    brewhouse.draw(brew, ("M1", "SILO1", "200 kg"), ("H1", "STORE", "2 kg"), hours=2)
    brewhouse.bring_back(brew, ("M1", "SILO1", "10 kg"), hours=3)
    brewhouse.knock_out(brew, "W1", {"FV1": "1000 L"}, loss="30 L", hours=9)
    return brewhouse


def figures(house: Brewhouse) -> dict[str, float | None]:
    return {figure.key: figure.value for figure in figures_of(house.brew("B1"))}


def test_yield_is_extract_in_the_cold_wort_over_the_grain_that_was_drawn(brewed: Brewhouse):
    brew = brewed.brew("B1")
    write(brewed, brew, reading("knock_out", "gravity", "12"), hours=9)
    write(brewed, brew, reading("knock_out", "volume", "1010"), hours=9)
    # 12 °P is SG 1.0484 (ASBC table), 12.558 kg/hL; 10.1 hL hold 126.8 kg, over 190 kg of grain.
    told = figures(brewed)
    assert told["extract"] == pytest.approx(126.8, abs=0.1)
    assert told["brewhouse_yield"] == pytest.approx(126.8 / 190 * 100, abs=0.1)
    (found,) = [figure for figure in figures_of(brew) if figure.key == "brewhouse_yield"]
    assert "knock-out: Gravity 12 °P" in found.source
    assert "190 kg of grain drawn" in found.source


def test_where_the_log_has_no_volume_the_ledger_says_it(brewed: Brewhouse):
    write(brewed, brewed.brew("B1"), reading("knock_out", "gravity", "12"), hours=9)
    (found,) = [figure for figure in figures_of(brewed.brew("B1")) if figure.key == "extract"]
    assert found.value == pytest.approx(10.3 * 12.558, abs=0.1)
    assert "wort lot W1 as knocked out" in found.source


def test_losses_are_told_on_cold_volumes(brewed: Brewhouse):
    brew = brewed.brew("B1")
    for line in (
        reading("kettle_full", "volume", "1150", hot=True),
        reading("cast_out", "volume", "1075", hot=True),
        reading("knock_out", "volume", "1000"),
        reading("knock_out", "gravity", "12"),
        reading("finished", "gravity", "3"),
    ):
        write(brewed, brew, line, hours=9)
    told = figures(brewed)
    assert told["evaporation"] == pytest.approx(100 * 75 / 1150)
    assert told["contraction"] == pytest.approx(43)
    assert told["trub_loss"] == pytest.approx(100 * 32 / 1032)
    assert told["attenuation"] == pytest.approx(75)


def test_a_figure_that_cannot_be_told_says_what_it_needs(brewhouse: Brewhouse):
    told = figures_of(brew_by(brewhouse, None))
    assert {figure.value for figure in told} == {None}
    assert told[0].source == "It needs the volumes of the full kettle and cast out."
