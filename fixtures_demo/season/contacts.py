"""Contacts: whom to ring at each customer and supplier, and how long beer must still keep when a customer gets it."""

import re
from collections.abc import Iterator
from datetime import datetime

from .clerk import Entry
from .dice import Dice
from .paper import Paper
from .parties import CUSTOMERS, SUPPLIERS, WHOLESALERS

_FIRST = "Alma Bram Carla Dario Edith Finn Greta Hugo Ines Jonas Klara Leon Marit Nils Olga Pavel Rosa Sven Thea Uwe"
_LAST = "Abbott Brandt Caspari Dunmore Ellery Farrow Gessner Harlow Ivens Jansen Keswick Lorenz Merrow Norden Orchard"
_LIFE_DAYS = {"C01": "60", "C02": "60", "C05": "45", "C08": "75"}
"""What wholesalers ask of all beer (common practice, no source)."""


def write_contacts(paper: Paper, dice: Dice) -> None:
    """Every party has a contact; at wholesalers somebody can be reached at night."""
    for party, name in {**SUPPLIERS, **CUSTOMERS}.items():
        person = f"{dice.pick(_FIRST.split())} {dice.pick(_LAST.split())}"
        role = "Quality" if party in SUPPLIERS else "Depot" if party in WHOLESALERS else "Licensee"
        host = re.sub("[^a-z0-9]+", "-", name.split(",")[0].lower()).strip("-")
        phone = f"+49 30 23125 {dice.between(100, 999)}"
        night = "yes" if party in WHOLESALERS else ""
        cells = (person, role, phone, f"{role.lower()}@{host}.example", night, "")
        paper.register("contacts", f"{party}-1", party, *cells)


def lives() -> Iterator[Entry]:
    """Yield what some customers ask, told before the season."""
    for party, days in _LIFE_DAYS.items():
        yield Entry("minimum_lives", datetime(2026, 2, 18, 11, 0), "receiving", [{"customer": party, "days": days}])
