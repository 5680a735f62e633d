from datetime import UTC, date, datetime

import pytest
from django.template import Context, Template
from django.utils import timezone

from brewery.kernel.templatetags.shell import day, moment, percent, quantity

THIN, FIXED = "\N{NARROW NO-BREAK SPACE}", "\N{NO-BREAK SPACE}"


@pytest.mark.parametrize(
    ("micro", "unit", "shown"),
    [
        (0, "kg", f"0{FIXED}kg"),
        (12_500_000, "kg", f"12.5{FIXED}kg"),
        (1_234_567_000_000, "L", f"1{THIN}234{THIN}567{FIXED}L"),
        (1_250_500_000, "L", f"1{THIN}250.5{FIXED}L"),
        (1_234_567, "kg", f"1.235{FIXED}kg"),
        (999_999_999, "kg", f"1{THIN}000{FIXED}kg"),
        (-500_000, "kg", f"-0.5{FIXED}kg"),
        (-1_500_000_000, "kg", f"-1{THIN}500{FIXED}kg"),
        (118_000_000_000, "hL", f"1{THIN}180{FIXED}hL"),
        (33_888_999.4, "kg", f"33.889{FIXED}kg"),
        (24_000_000, "each", f"24{FIXED}each"),
        (500, "kg", f"<{FIXED}0.001{FIXED}kg"),
        (501, "kg", f"0.001{FIXED}kg"),
        (0.2, "kg", f"<{FIXED}0.001{FIXED}kg"),
        (-1, "L", f">{FIXED}-0.001{FIXED}L"),
    ],
)
def test_a_quantity_is_shown_with_three_decimals_at_most_and_its_thousands_apart(micro, unit, shown):
    assert quantity(micro, unit) == shown


@pytest.mark.parametrize(
    ("value", "shown"),
    [(0, "0.00"), (100, "100.00"), (12.345, "12.35"), (0.01, "0.01"), (0.004, f"<{FIXED}0.01")],
)
def test_a_part_is_shown_in_hundredths_of_a_per_cent(value, shown):
    assert percent(value) == f"{shown}{FIXED}%"


def test_a_moment_is_told_by_the_clock_of_the_page():
    with timezone.override("Europe/Berlin"):
        shown = moment(datetime(2026, 7, 1, 22, 30, tzinfo=UTC))
    assert shown == '<time datetime="2026-07-02T00:30:00+02:00">2 Jul 2026, 00:30</time>'


def test_no_moment_and_no_day_are_shown_as_nothing():
    assert (moment(None), day(None)) == ("", "")


def test_a_day_is_told_in_words_and_for_machines():
    assert day(date(2027, 3, 4)) == '<time datetime="2027-03-04">4 Mar 2027</time>'


def test_a_box_that_scrolls_can_be_reached_and_says_what_it_is():
    template = Template("{% load shell %}{% scroll label %}<p>{{ word }}</p>{% endscroll %}")
    shown = template.render(Context({"label": 'Store "A" & B', "word": "<hop>"}))
    assert shown == (
        '<div class="scroll" role="region" aria-label="Store &quot;A&quot; &amp; B" tabindex="0">'
        "<p>&lt;hop&gt;</p></div>"
    )
