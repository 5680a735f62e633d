"""What is known of the materials: how long they keep, what they carry, what their certificates must keep to."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Figure:
    """What certificates state of one property: the usual value, its spread, its step, and the brewery's limits."""

    property: str
    mean: float
    spread: float
    step: float
    least: str = ""
    most: str = ""


def _malt(
    extract: float, colour: float, colour_step: float, protein: float = 10.6, moisture: float = 4.4
) -> list[Figure]:
    room = colour * 0.25
    return [
        Figure("moisture", moisture, 0.4, 0.1, most=f"{moisture + 1:.1f}"),
        Figure("extract_fine_as_is", extract, 0.7, 0.1, least=f"{extract - 2:.1f}"),
        Figure("colour", colour, colour * 0.1, colour_step, f"{colour - room:.1f}", f"{colour + room:.1f}"),
        Figure("protein", protein, 0.5, 0.1, most=f"{protein + 1.5:.1f}"),
    ]


def _hop(alpha: float, oil: float) -> list[Figure]:
    return [
        Figure("alpha", alpha, alpha * 0.09, 0.1, f"{alpha * 0.75:.1f}", f"{alpha * 1.25:.1f}"),
        Figure("oil", oil, oil * 0.12, 0.05),
        Figure("hsi", 0.28, 0.03, 0.01, most="0.4"),
        Figure("moisture", 8.6, 0.6, 0.1, most="11"),
    ]


FIGURES: dict[str, list[Figure]] = {
    "Pilsner malt": [*_malt(79.6, 3.4, 0.1), Figure("friability", 86, 3, 1, least="78")],
    "Pale ale malt": [*_malt(79.0, 6.2, 0.1), Figure("friability", 85, 3, 1)],
    "Munich malt": _malt(78.4, 22, 0.5),
    "Wheat malt": _malt(81.4, 3.8, 0.1, 11.8, 5.0),
    "Caramel malt, light": _malt(75.2, 30, 1, 11.2, 5.6),
    "Caramel malt, dark": _malt(74.0, 150, 5, 11.4, 5.2),
    "Chocolate malt": _malt(70.5, 950, 10, 11.6, 3.4),
    "Roasted barley": _malt(68.0, 1200, 10, 11.8, 3.2),
    "Acidulated malt": _malt(76.5, 4.5, 0.1, 10.4, 5.6),
    "Dextrin malt": _malt(77.0, 4.0, 0.1, 10.8, 5.4),
    "Magnum hop pellets": _hop(13.2, 2.4),
    "Tettnanger hop pellets": _hop(4.2, 0.8),
    "Perle hop pellets": _hop(7.4, 1.6),
    "Hersbrucker hop pellets": _hop(3.0, 0.9),
    "Hallertau Mittelfrüh hop pellets": _hop(4.1, 1.0),
    "Saaz hop pellets": _hop(3.6, 0.6),
    "Northern Brewer hop pellets": _hop(9.2, 1.8),
    "Cascade hop pellets": _hop(6.4, 1.3),
    "Centennial hop pellets": _hop(10.2, 2.0),
    "Chinook hop pellets": _hop(12.6, 1.9),
    "Fuggle hop pellets": _hop(4.5, 1.0),
    "Brewing liquor": [
        Figure("calcium", 38, 3, 1),
        Figure("magnesium", 8, 0.6, 0.1),
        Figure("sodium", 14, 1.2, 0.1),
        Figure("chloride", 24, 2, 1),
        Figure("sulfate", 56, 3, 1),
        Figure("bicarbonate", 112, 6, 1),
        Figure("ph", 7.6, 0.1, 0.05),
    ],
}
"""Figures as maltsters and merchants usually state them; the limits are the brewery's own."""

# By material: shelf life in days, warmest arrival in °C, allergens, animal origin, claims of its supplier.
SETTINGS: dict[str, tuple[str, str, str, str, str]] = {
    **{name: ("365", "", "barley", "no", "") for name in FIGURES if "malt" in name or "barley" in name},
    "Wheat malt": ("365", "", "wheat", "no", ""),
    "Flaked oats": ("270", "", "oats", "no", ""),
    **{name: ("720", "10", "", "no", "vegan") for name in FIGURES if name.endswith("hop pellets")},
    **dict.fromkeys(("Lager yeast Q1", "Ale yeast Q2", "Wheat yeast Q3", "Stout yeast Q4"), ("21", "6", "", "no", "")),
    "Carrageenan kettle finings": ("540", "", "", "no", "vegan"),
    "Silica sol finings": ("540", "", "", "no", "vegan"),
    "Isinglass finings": ("120", "12", "fish", "yes", ""),
}
EXEMPT = {"Isinglass finings": "fish"}
SALTS = {
    "Gypsum, calcium sulphate dihydrate": "CaSO4·2H2O",
    "Calcium chloride dihydrate": "CaCl2·2H2O",
}
