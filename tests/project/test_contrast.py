"""The colours of the pages can be told apart: WCAG 2.2, success criteria 1.4.3 (text) and 1.4.11 (all else)."""

import re

import pytest
from django.conf import settings

TOKENS = (settings.PROJECT_DIR / "static/shell/tokens.css").read_text()
TEXT, SHAPES = 4.5, 3.0

PAIRS = [
    *[
        (ink, ground, TEXT)
        for ink in ("ink", "quiet", "accent", "accent-strong", "good", "wait", "hold", "bad")
        for ground in ("paper", "surface", "stripe")
    ],
    ("on-accent", "accent", TEXT),
    ("on-accent", "accent-strong", TEXT),
    ("on-band", "band", TEXT),
    ("band", "gold", TEXT),
    ("gold", "band", SHAPES),
    ("edge", "paper", SHAPES),
    ("edge", "surface", SHAPES),
    ("edge", "stripe", SHAPES),
    ("focus", "paper", SHAPES),
    ("focus", "surface", SHAPES),
]


def colours(block: str) -> dict[str, str]:
    """Return the colours that a block of the style sheet names."""
    return dict(re.findall(r"--gw-([a-z-]+): (#[0-9a-f]{3,6});", block))


LIGHT = colours(TOKENS.partition("@media")[0])
DARK = LIGHT | colours(re.search(r"\(prefers-color-scheme: dark\)(.*?)@media print", TOKENS, re.DOTALL)[1])


def luminance(colour: str) -> float:
    """Relative luminance, as WCAG 2.2 defines it."""
    digits = colour[1:] if len(colour) == 7 else "".join(2 * digit for digit in colour[1:])
    parts = [int(digits[at : at + 2], 16) / 255 for at in (0, 2, 4)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio, as WCAG 2.2 defines it: from 1 to 21."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_the_ratio_is_the_standards():
    """Black on white is 21:1 (WCAG 2.2); #767676 is the lightest grey that passes on white at 4.5 (from memory)."""
    assert contrast("#000", "#fff") == pytest.approx(21)
    assert contrast("#767676", "#fff") > 4.5 > contrast("#777777", "#fff")


@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize(("front", "ground", "least"), PAIRS)
def test_what_is_to_be_told_apart_can_be(tokens, front, ground, least):
    assert contrast(tokens[front], tokens[ground]) >= least
