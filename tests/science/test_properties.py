"""Properties: what is written becomes the same value again, and what cannot be is told with what can."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.analyses import ANALYSES
from brewery.science.properties import Form, NotAReading, Reading, plain, read, written

MALT, HOP, YEAST = ANALYSES["malt"], ANALYSES["hop"], ANALYSES["yeast"]
EVERY = [pytest.param(one, id=f"{kind}-{one.key}") for kind, all_of in ANALYSES.items() for one in all_of.values()]


@pytest.mark.parametrize(
    ("measured", "text", "reading"),
    [
        (MALT["moisture"], "4.5", Reading(4_500_000)),
        (MALT["moisture"], " 4.50 ", Reading(4_500_000)),
        (MALT["ochratoxin_a"], "<0.1", Reading(100_000, "<")),
        (MALT["friability"], "> 95", Reading(95_000_000, ">")),
        (HOP["form"], "pellets 90", Reading(text="pellets 90")),
        (HOP["harvest_year"], "2025", Reading(2_025_000_000)),
        (YEAST["propagated_on"], "2026-02-28", Reading(text="2026-02-28")),
        (YEAST["strain"], "Q-34", Reading(text="Q-34")),
        (YEAST["cell_count"], "1200", Reading(1_200_000_000)),
    ],
)
def test_what_is_written_is_read(measured, text, reading):
    assert read(measured, text) == reading


@pytest.mark.parametrize(
    ("measured", "text", "sentence"),
    [
        (MALT["moisture"], "4,5", "'4,5' is no number; write it as 4.5, < 0.1 or > 95, without the unit."),
        (MALT["moisture"], "4.5 %", "'4.5 %' is no number; write it as 4.5, < 0.1 or > 95, without the unit."),
        (MALT["moisture"], "", "'' is no number; write it as 4.5, < 0.1 or > 95, without the unit."),
        (MALT["moisture"], "≤ 5", "'≤ 5' is no number; write it as 4.5, < 0.1 or > 95, without the unit."),
        (MALT["moisture"], "1e3", "'1e3' is no number; write it as 4.5, < 0.1 or > 95, without the unit."),
        (MALT["moisture"], "50.000001", "50.000001 % cannot be; plausible is 0 to 50 %."),
        (MALT["moisture"], "-1", "-1 % cannot be; plausible is 0 to 50 %."),
        (MALT["moisture"], "< 0", "< 0 % cannot be; plausible is 0 to 50 %."),
        (MALT["friability"], "> 100", "> 100 % cannot be; plausible is 0 to 100 %."),
        (HOP["hsi"], "31", "31 cannot be; plausible is 0.1 to 2."),
        (HOP["harvest_year"], "2025.5", "'2025.5' is no whole number."),
        (HOP["harvest_year"], "< 2025", "'< 2025' is no whole number."),
        (
            HOP["form"],
            "bale",
            "'bale' is none of its values; write one of: cones, pellets 90, pellets 45, extract, oil.",
        ),
        (YEAST["propagated_on"], "20260228", "'20260228' is no day; write it as 2026-03-02."),
        (YEAST["propagated_on"], "2026-02-30", "'2026-02-30' is no day; write it as 2026-03-02."),
        (YEAST["strain"], "", "'' is not a value of it; write up to 120 characters."),
        (YEAST["strain"], "a\nb", "'a\\nb' is not a value of it; write up to 120 characters."),
    ],
)
def test_what_cannot_be_is_told_with_what_can(measured, text, sentence):
    with pytest.raises(NotAReading) as wrong:
        read(measured, text)
    assert str(wrong.value) == sentence


@pytest.mark.parametrize("measured", EVERY)
def test_every_property_says_what_it_is_and_where_its_range_comes_from(measured):
    assert measured.key.isidentifier()
    assert len(measured.key) <= 40
    assert all((measured.label, measured.source))
    if measured.is_number:
        assert 0 <= measured.least_micro < measured.most_micro < 2**62
        assert not measured.choices
    assert (measured.form is Form.CHOICE) == bool(measured.choices)


@given(st.integers(0, 50_000_000), st.sampled_from(["", "<", ">"]))
def test_every_number_in_range_is_written_and_read_back(micro, bound):
    moisture = MALT["moisture"]
    reading = Reading(micro, bound)
    if (micro, bound) in ((0, "<"), (50_000_000, ">")):
        with pytest.raises(NotAReading):
            read(moisture, written(reading))
    else:
        assert read(moisture, written(reading)) == reading


def test_millionths_are_shown_without_needless_noughts():
    assert [plain(micro) for micro in (0, 1, 4_500_000, 12_000_000)] == ["0", "0.000001", "4.5", "12"]
