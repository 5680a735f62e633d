import pytest

from traceability.drawing.measure import clipped, width_of


@pytest.mark.parametrize(
    ("words", "thousandths", "face"),
    [
        ("Bohemian floor malted Pilsner 1 250.5 kg, Silo 2", 21345, "Liberation Sans"),
        ("Bohemian floor malted Pilsner 1 250.5 kg, Silo 2", 24147, "DejaVu Sans"),
    ],
)
def test_a_text_is_taken_for_as_wide_as_a_browser_draws_it_or_a_little_wider(words, thousandths, face):
    """Widths as Chromium 156 measures them in that face, in thousandths of the type size."""
    drawn = thousandths / 1000 * 12
    assert drawn <= width_of(words, 12) <= 1.2 * drawn


def test_what_fits_stays_whole():
    assert clipped("Saaz", 13, 200) == "Saaz"


def test_what_is_clipped_fits_with_its_ellipsis():
    shown = clipped("Pilsner malt " * 20, 13, 180)
    assert shown.endswith("…")
    assert 160 < width_of(shown, 13) <= 180


def test_wide_characters_take_more_room_and_combining_ones_none():
    assert width_of("麦", 10) > width_of("M", 10)
    assert width_of("e\N{COMBINING ACUTE ACCENT}", 10) == width_of("e", 10)
