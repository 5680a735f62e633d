"""The brew sheets: by which version each beer was brewed, and what its lines say."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from .beers import BEERS, BREW_LENGTH, DARK_LAGER, HOP_ALE, LAGER, PALE_ALE, STOUT, WHEAT, Beer, packaged
from .clerk import Entry, plain
from .materials import code_of
from .quantities import KG, L

MASH_LIQUOR, SPARGE_LIQUOR = "46", "39"
CALCIUM_CHLORIDE, GYPSUM = "Calcium chloride dihydrate", "Gypsum, calcium sulphate dihydrate"
DAY_MINUTES = 24 * 60
BOIL_MINUTES = 65
BITTERING_MINUTES = 60

# Vessel, action, °C, minutes, and the share of the mash that is drawn off, in per cent.
Step = tuple[str, str, float, int, str]
_END: tuple[Step, ...] = (("mash_tun", "mash_out", 77, 5, ""), ("lauter_tun", "sparge", 77, 75, ""))
_DECOCTION: tuple[Step, ...] = (
    ("mash_tun", "mash_in", 52, 15, ""),
    ("mash_tun", "rest", 63, 35, ""),
    ("mash_kettle", "draw_off", 63, 5, "30"),
    ("mash_kettle", "rest", 72, 10, ""),
    ("mash_kettle", "boil", 100, 15, ""),
    ("mash_tun", "put_back", 72, 5, ""),
    ("mash_tun", "rest", 72, 20, ""),
    *_END,
)
_STEPS: tuple[Step, ...] = (
    ("mash_tun", "mash_in", 46, 15, ""),
    ("mash_tun", "rest", 63, 35, ""),
    ("mash_tun", "rest", 72, 20, ""),
    *_END,
)
_ALE_CELLAR = (("fermentation", 19, 5), ("diacetyl_rest", 19, 2), ("cooling", 4, 5))
_LAGER_CELLAR = (("fermentation", 9, 8), ("diacetyl_rest", 13, 3), ("maturation", 1, 11))


def _infusion(rest_c: float) -> tuple[Step, ...]:
    return (
        ("mash_tun", "mash_in", rest_c, 10, ""),
        ("mash_tun", "rest", rest_c, 60, ""),
        ("mash_tun", "rest", 72, 15, ""),
        *_END,
    )


@dataclass(frozen=True)
class Sheet:
    """One version of a beer's sheet. `late` is the stage of the late hops, its minutes and the temperature, if any."""

    beer: Beer
    version: int
    since: datetime
    original: float
    attenuation: float
    yield_pct: float
    bitterness: float
    colour: float
    pitch_cells: int
    mash: tuple[Step, ...]
    cellar: tuple[tuple[str, float, int], ...]
    late: tuple[str, int, str]
    note: str = ""
    alpha_g: Mapping[str, str] | None = None

    @property
    def final(self) -> float:
        """The final gravity that the attenuation makes, in °P."""
        return round(self.original * (1 - self.attenuation / 100), 1)

    @property
    def rests(self) -> list[float]:
        """The temperatures that are read in the mash."""
        return [step[2] for step in self.mash if step[0] == "mash_tun" and step[1] in ("mash_in", "rest")]

    def asked(self) -> dict[str, int]:
        """What a brew is to be drawn of each material, in thousandths; not what the sheet weighs by alpha acids."""
        beer = self.beer
        asked = dict(beer.grist) | {CALCIUM_CHLORIDE: 2 * KG} | ({GYPSUM: beer.gypsum} if beer.gypsum else {})
        for hops in (beer.bittering, beer.late):
            for hop, mass in hops.items():
                asked[hop] = asked.get(hop, 0) + mass
        return asked

    def lines(self) -> Iterator[dict[str, str]]:
        """Yield the lines of the sheet, part by part."""
        for part, lines in self._parts().items():
            for position, line in enumerate(lines, 1):
                yield {"beer": code_of(self.beer.name), "part": part, "position": str(position), **line}

    def _parts(self) -> dict[str, list[dict[str, str]]]:
        return {
            "figure": self._figures(),
            "grain": [_weighed(name, mass) for name, mass in self.beer.grist.items()],
            "hops": [*self._bittering(), *self._late(), *self._dry_hops()],
            "salt": [{"what": "mash", **_weighed(name, self.asked()[name])} for name in self._salts()],
            "ion": [{"what": ion, "amount": amount} for ion, amount in _IONS[self.beer.gypsum].items()],
            "mash": [
                {"vessel": vessel, "what": action, "temperature_c": f"{warmth:g}", "minutes": str(minutes)}
                | ({"amount": share, "unit": "%"} if share else {})
                for vessel, action, warmth, minutes, share in self.mash
            ],
            "cellar": [
                {"what": phase, "temperature_c": f"{warmth:g}", "days": str(days)}
                for phase, warmth, days in self.cellar
            ],
            "format": [{"material": code_of(packaged(self.beer, form))} for form in self.beer.formats],
        }

    def _salts(self) -> list[str]:
        return [CALCIUM_CHLORIDE, *([GYPSUM] if self.beer.gypsum else [])]

    def _figures(self) -> list[dict[str, str]]:
        told = {
            "cold_wort": plain(BREW_LENGTH / L / 100, 0.1),
            "original_gravity_p": f"{self.original:g}",
            "final_gravity_p": f"{self.final:g}",
            "yield_pct": f"{self.yield_pct:g}",
            "boil_minutes": str(BOIL_MINUTES),
            "bitterness_bu": f"{self.bitterness:g}",
            "colour_ebc": f"{self.colour:g}",
            "evaporation_pct": "6.5",
            "mash_liquor": MASH_LIQUOR,
            "sparge_liquor": SPARGE_LIQUOR,
            "pitch_cells": str(self.pitch_cells),
        }
        volumes = ("cold_wort", "mash_liquor", "sparge_liquor")
        lines = [{"what": what, "amount": amount} for what, amount in told.items()]
        lines = [line | ({"unit": "hL"} if line["what"] in volumes else {}) for line in lines]
        lines += [{"what": "liquor", "material": "brewing-liquor"}]
        lines += [{"what": "yeast", "material": code_of(self.beer.strain)}]
        lines += [{"what": "filtered", "words": "yes"}] if self.beer.filtered else []
        return lines + ([{"what": "note", "words": self.note}] if self.note else [])

    def _bittering(self) -> list[dict[str, str]]:
        stage = {"what": "boil", "minutes": str(BITTERING_MINUTES)}
        alpha = self.alpha_g or {}
        return [
            stage
            | (
                {"material": code_of(hop), "amount": alpha[hop], "unit": "g alpha"}
                if hop in alpha
                else _weighed(hop, mass)
            )
            for hop, mass in self.beer.bittering.items()
        ]

    def _late(self) -> list[dict[str, str]]:
        stage, minutes, warmth = self.late
        head = {"what": stage, "minutes": str(minutes), "temperature_c": warmth}
        return [head | _weighed(hop, mass) for hop, mass in self.beer.late.items()]

    def _dry_hops(self) -> list[dict[str, str]]:
        days = self.beer.ready_on
        return [
            {"what": "cold", "minutes": str((days - after) * DAY_MINUTES), "temperature_c": "17"}
            | _weighed(hop, int(dose * BREW_LENGTH))
            for after, hop, dose in self.beer.dry_hops
        ]


_IONS = {
    0: {"calcium": "102", "chloride": "138", "sulfate": "55"},
    3 * KG: {"chloride": "138", "sulfate": "250"},
    4 * KG: {"chloride": "138", "sulfate": "315"},
}
"""What the liquor is to hold in mg/L, by how much gypsum goes into it."""


def _weighed(name: str, mass: int) -> dict[str, str]:
    return {"material": code_of(name), "amount": plain(mass / KG, 0.001), "unit": "kg"}


_START = datetime(2026, 2, 17, 10, 0)
SHEETS = (
    Sheet(LAGER, 1, _START, 12.4, 80.5, 72.5, 24, 6.6, 1_500_000, _DECOCTION, _LAGER_CELLAR, ("boil", 10, "")),
    Sheet(DARK_LAGER, 1, _START, 12.3, 73.5, 71, 18.5, 26, 1_500_000, _DECOCTION, _LAGER_CELLAR, ("boil", 10, "")),
    Sheet(PALE_ALE, 1, _START, 13.1, 77, 72, 18, 9, 900_000, _infusion(67), _ALE_CELLAR, ("whirlpool", 20, "92")),
    Sheet(HOP_ALE, 1, _START, 16.3, 79, 70.5, 41, 9.5, 900_000, _infusion(66), _ALE_CELLAR, ("whirlpool", 25, "88")),
    Sheet(
        WHEAT,
        1,
        _START,
        11.8,
        78.5,
        72.5,
        9,
        5.9,
        900_000,
        _STEPS,
        (("fermentation", 20, 6), ("cooling", 4, 5)),
        ("boil", 10, ""),
    ),
    Sheet(STOUT, 1, _START, 12.2, 71.5, 69.5, 26, 62, 900_000, _infusion(68), _ALE_CELLAR, ("boil", 10, "")),
    Sheet(
        PALE_ALE,
        2,
        datetime(2026, 5, 29, 15, 0),
        13.1,
        79,
        72,
        16.5,
        9,
        900_000,
        _infusion(65.5),
        _ALE_CELLAR,
        ("whirlpool", 30, "85"),
        "Drier since the tasting of May: the rest is cooler, and the late hops go in at 85 °C.",
    ),
    Sheet(
        DARK_LAGER,
        2,
        datetime(2026, 8, 24, 15, 0),
        12.3,
        73.5,
        71,
        18.5,
        26,
        1_500_000,
        _DECOCTION,
        _LAGER_CELLAR,
        ("boil", 10, ""),
        "The bittering hops are weighed by the alpha acids that they hold on the day, since lots differ.",
        {"Perle hop pellets": "370"},
    ),
)


def sheet_for(beer: Beer, started: datetime) -> Sheet:
    """The newest version of the beer's sheet that was in use then."""
    return max((s for s in SHEETS if s.beer is beer and s.since <= started), key=lambda s: s.version)


def sheets() -> Iterator[Entry]:
    """Yield every version as it was put in use."""
    for sheet in SHEETS:
        yield Entry("brew_sheets", sheet.since, "brewing", list(sheet.lines()))


BEER_OF = {code_of(beer.name): beer for beer in BEERS}
