"""The six beers: what goes into a brew of 56 hL, how long it takes, and what it is filled into."""

from collections.abc import Mapping
from dataclasses import dataclass

from .quantities import HL, KG

BREW_LENGTH = 56 * HL
BITTERING, LATE = "bittering", "late"


@dataclass(frozen=True)
class Beer:
    """A beer and its brew sheet: masses for one brew, days counted from pitching, dry hops in g/L."""

    code: str
    name: str
    strain: str
    grist: Mapping[str, int]
    bittering: Mapping[str, int]
    late: Mapping[str, int]
    gypsum: int
    harvest_on: int
    ready_on: int
    keeps_days: int
    formats: tuple[str, ...]
    dry_hops: tuple[tuple[int, str, float], ...] = ()
    filtered: bool = False
    fined: bool = False

    @property
    def wort(self) -> str:
        """The material that knock-out makes."""
        return f"{self.name} wort"


def _kg(**masses: float) -> dict[str, int]:
    return {_NAMES[short]: int(mass * KG) for short, mass in masses.items()}


_NAMES = {
    "pilsner": "Pilsner malt",
    "pale": "Pale ale malt",
    "munich": "Munich malt",
    "wheat": "Wheat malt",
    "caramel_light": "Caramel malt, light",
    "caramel_dark": "Caramel malt, dark",
    "chocolate": "Chocolate malt",
    "roasted": "Roasted barley",
    "acid": "Acidulated malt",
    "dextrin": "Dextrin malt",
    "oats": "Flaked oats",
    "magnum": "Magnum hop pellets",
    "perle": "Perle hop pellets",
    "tettnanger": "Tettnanger hop pellets",
    "saaz": "Saaz hop pellets",
    "hersbrucker": "Hersbrucker hop pellets",
    "hallertau": "Hallertau Mittelfrüh hop pellets",
    "northern": "Northern Brewer hop pellets",
    "cascade": "Cascade hop pellets",
    "centennial": "Centennial hop pellets",
    "chinook": "Chinook hop pellets",
    "fuggle": "Fuggle hop pellets",
}

LAGER = Beer(
    "QL",
    "Quillmere Lager",
    "Lager yeast Q1",
    _kg(pilsner=930, munich=60, acid=18),
    _kg(magnum=3.4),
    _kg(tettnanger=5, saaz=4),
    gypsum=0,
    harvest_on=8,
    ready_on=22,
    keeps_days=270,
    formats=("K50", "K30", "C24"),
    filtered=True,
)
DARK_LAGER = Beer(
    "DL",
    "Quillmere Dark Lager",
    "Lager yeast Q1",
    _kg(pilsner=560, munich=380, caramel_dark=55, chocolate=24),
    _kg(perle=5),
    _kg(hersbrucker=4),
    gypsum=0,
    harvest_on=8,
    ready_on=25,
    keeps_days=270,
    formats=("K50", "K30"),
    filtered=True,
)
PALE_ALE = Beer(
    "PA",
    "Quillmere Pale Ale",
    "Ale yeast Q2",
    _kg(pale=880, pilsner=120, caramel_light=55, dextrin=20),
    _kg(northern=3.8),
    _kg(cascade=7),
    gypsum=3 * KG,
    harvest_on=5,
    ready_on=12,
    keeps_days=180,
    formats=("K30", "C24"),
    dry_hops=((6, "Cascade hop pellets", 2.0),),
    fined=True,
)
HOP_ALE = Beer(
    "HA",
    "Quillmere Hop Ale",
    "Ale yeast Q2",
    _kg(pale=980, pilsner=260, wheat=60, dextrin=40, oats=45),
    _kg(magnum=4.2, chinook=3),
    _kg(chinook=2, centennial=8),
    gypsum=4 * KG,
    harvest_on=5,
    ready_on=14,
    keeps_days=120,
    formats=("K30", "C24"),
    dry_hops=((6, "Cascade hop pellets", 2.5), (9, "Centennial hop pellets", 3.5)),
)
WHEAT = Beer(
    "WB",
    "Quillmere Wheat",
    "Wheat yeast Q3",
    _kg(wheat=500, pilsner=440, acid=14),
    _kg(perle=2.4),
    _kg(hallertau=2),
    gypsum=0,
    harvest_on=6,
    ready_on=11,
    keeps_days=180,
    formats=("K30", "C24"),
)
STOUT = Beer(
    "ST",
    "Quillmere Stout",
    "Stout yeast Q4",
    _kg(pale=800, roasted=85, caramel_dark=35, chocolate=38, oats=75),
    _kg(fuggle=7, northern=3),
    _kg(fuggle=2),
    gypsum=0,
    harvest_on=6,
    ready_on=12,
    keeps_days=240,
    formats=("K30",),
    fined=True,
)
BEERS = (LAGER, PALE_ALE, DARK_LAGER, WHEAT, HOP_ALE, STOUT)
FORMATS = {"K30": ("keg 30 L", "30"), "K50": ("keg 50 L", "50"), "C24": ("case 24 x 0.33 L", "7.92")}


def packaged(beer: Beer, form: str) -> str:
    """The material that a packaging run of the beer into that form makes."""
    return f"{beer.name}, {FORMATS[form][0]}"
