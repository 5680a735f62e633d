"""The laboratory's papers: what materials are set to, what they must keep to, and the certificates of their lots."""

import re
from collections import defaultdict
from collections.abc import Iterator
from datetime import datetime, timedelta

from .clerk import Entry, scattered
from .days import moment
from .dice import Dice
from .materials import MATERIALS
from .paper import Paper
from .parties import SUPPLIERS
from .traits import EXEMPT, FIGURES, SALTS, SETTINGS

OWN = "Quillmere Brewery"
_VIABILITY = re.compile(r"Viability ([0-9.]+) %")
HARVEST = "2025"
_NAMES = {material.code: name for name, material in MATERIALS.items()}


def write_settings(paper: Paper) -> None:
    """Every material that something is known of has its line."""
    for name, (days, warmest, allergens, animal, claims) in SETTINGS.items():
        told = "4" if MATERIALS[name].kind == "yeast" else ""
        cells = (days, told, "", warmest, "", "", allergens, EXEMPT.get(name, ""), animal, claims, "", "")
        paper.register("material_settings", MATERIALS[name].code, *cells)
    for name, formula in SALTS.items():
        paper.register("material_settings", MATERIALS[name].code, *("",) * 10, formula, "")
    for name, material in MATERIALS.items():
        if material.kind == "packaged":
            container = "keg" if ", keg" in name else "bottles"
            paper.register("material_settings", material.code, *("",) * 11, container)


def limits() -> Iterator[Entry]:
    """What the brewery asks for, set before the season."""
    start = moment(datetime(2026, 2, 16).date(), "09:00")
    for name, figures in FIGURES.items():
        for figure in figures:
            if figure.least or figure.most:
                cells = {"property": figure.property, "least": figure.least, "most": figure.most}
                row = {"material": MATERIALS[name].code, **cells, "in_force_from": "2026-02-16"}
                yield Entry("specifications", start, "quality", [row | {"source": "Contracts of the year"}])


class Certificates:
    """Certificates of malt and hops, as they came with the lots or were made of what lies in the silo."""

    def __init__(self, paper: Paper, dice: Dice) -> None:
        self._paper = paper
        self._dice = dice
        self._known: dict[str, dict[str, str]] = {}
        self._of: dict[str, dict[str, str]] = {}
        self._decided: dict[str, list[dict[str, str]]] = defaultdict(list)
        for row in paper.rows["decisions"]:
            self._decided[row["lot"]].append(row)

    def entries(self) -> Iterator[Entry]:
        """Yield a certificate for every lot of malt and hops that was decided on, or needs no decision."""
        for row in self._paper.rows["deliveries"]:
            name = _NAMES[row["material"]]
            decided = self._decided[row["lot"]]
            if name not in FIGURES or (MATERIALS[name].arrives == "quarantined" and not decided):
                continue
            when = datetime.fromisoformat((decided[0] if decided else row)["happened_at"]) + timedelta(minutes=5)
            yield from self._of_lot(row, name, when, [each["decision"] for each in decided])
            if row["contents_lot"]:
                yield self._of_silo(row, name)

    def of_yeast(self) -> Iterator[Entry]:
        """Yield what was counted of every culture and crop when it was released."""
        for lot, decided in self._decided.items():
            found = decided and _VIABILITY.search(decided[0]["reason"])
            if found:
                when = datetime.fromisoformat(decided[0]["happened_at"]) + timedelta(minutes=3)
                head = {"lot": lot, "laboratory": OWN, "issued_on": f"{when:%Y-%m-%d}"}
                count = scattered(self._dice, 1550 if lot.startswith("YH") else 1900, 220, 10)
                values = {"viability": found[1], "cell_count": count, "wild_yeast": "< 1", "bacteria": "< 1"}
                yield _entry(when, head, values)

    def alpha_of(self, lot: str) -> float:
        """The alpha acids of a lot of hops in %, by its certificate."""
        return float(self._of[lot]["alpha"])

    def _of_lot(self, row: dict[str, str], name: str, when: datetime, decided: list[str]) -> Iterator[Entry]:
        values = self._of[row["lot"]] = dict(self._values(row["supplier_lot"], name))
        if "rejected" in decided:
            values["moisture"] = "6.8"
        issued = when - timedelta(days=self._dice.between(4, 20))
        head = {
            "lot": row["lot"],
            "number": f"{row['supplier']}-{row['supplier_lot'][-8:]}",
            "laboratory": SUPPLIERS[row["supplier"]],
            "issued_on": f"{issued:%Y-%m-%d}",
        }
        if "on_hold" not in decided:
            yield _entry(when, head, values)
            return
        first = _entry(when, head, values | {"harvest_year": "2024"})
        yield first
        cleared = datetime.fromisoformat(self._decided[row["lot"]][1]["happened_at"]) + timedelta(minutes=5)
        right = _entry(cleared, head | {"number": f"{head['number']}A", "issued_on": f"{cleared:%Y-%m-%d}"}, values)
        right.replaces = first
        yield right

    def _of_silo(self, row: dict[str, str], name: str) -> Entry:
        """What the brewery's own laboratory found in the new contents of a silo."""
        when = datetime.fromisoformat(row["happened_at"]) + timedelta(minutes=95)
        head = {"lot": row["contents_lot"], "laboratory": OWN, "issued_on": f"{when:%Y-%m-%d}"}
        return _entry(when, head, dict(self._values(row["contents_lot"], name)))

    def _values(self, supplier_lot: str, name: str) -> dict[str, str]:
        """The merchants send one lot in several deliveries: its figures stay what they are."""
        if supplier_lot not in self._known:
            figures = {
                figure.property: scattered(self._dice, figure.mean, figure.spread, figure.step)
                for figure in FIGURES[name]
            }
            if MATERIALS[name].kind == "hop":
                figures |= {"form": "pellets 90", "pack": "barrier under inert gas", "harvest_year": HARVEST}
            self._known[supplier_lot] = figures
        return self._known[supplier_lot]


def _entry(when: datetime, head: dict[str, str], values: dict[str, str]) -> Entry:
    return Entry("certificates", when, "quality", [{**head, "property": key, "value": values[key]} for key in values])
