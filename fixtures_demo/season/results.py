"""Results of beer: on which limits a packaged lot is released, what was measured, the plates, and gauged tanks."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from .beers import BEERS, Beer, packaged
from .brew_sheets import Sheet, sheet_for
from .clerk import Entry, plain, scattered
from .days import END, moment
from .dice import Dice
from .laboratory import OWN
from .materials import code_of
from .packaging import PACKAGED_LOT_REJECTED
from .paper import Paper
from .rounds import Seen

MEASURED_AFTER = timedelta(minutes=75)
GAUGED_AFTER = timedelta(minutes=50)
PLATES_AFTER = timedelta(days=3, hours=1)
MOST_OXYGEN_PPB = "250"
_CO2 = {"QL": 5.0, "DL": 4.9, "PA": 4.7, "HA": 4.8, "WB": 6.4, "ST": 4.2}
"""Carbon dioxide of a beer in g/L; bottles are filled a little higher (common practice, no source)."""


_METHODS = {"alcohol": "EBC 9.2.1", "original_extract": "EBC 9.4"}
"""Analytica-EBC: alcohol by distillation, original extract by Balling; section numbers from memory."""


def alcohol(beer: Beer, when: datetime) -> float:
    """Return the alcohol in % by volume that the sheet makes, by Balling's formula and the density at 20 °C."""
    sheet = _sheet(beer, when)
    real = 0.1808 * sheet.original + 0.8192 * sheet.final
    by_weight = (sheet.original - real) / (2.0665 - 0.010665 * sheet.original)
    return by_weight * (1 + 0.004 * sheet.final) / 0.7893


def _original(beer: Beer, when: datetime) -> float:
    """Return the original extract in °P that the sheet makes."""
    return _sheet(beer, when).original


def _sheet(beer: Beer, when: datetime) -> Sheet:
    return sheet_for(beer, max(when - timedelta(days=beer.ready_on), datetime(2026, 3, 2)))


def package_limits() -> Iterator[Entry]:
    """Yield what packaged beer must keep to before it is released, set before the season."""
    for beer in BEERS:
        for form in beer.formats:
            for row in _limits(beer, form):
                cells = {"material": code_of(packaged(beer, form)), "in_force_from": "2026-02-16", **row}
                yield Entry("specifications", datetime(2026, 2, 16, 13, 0), "quality", [cells])


def _limits(beer: Beer, form: str) -> Iterator[dict[str, str]]:
    declared = float(plain(alcohol(beer, datetime(2026, 3, 30)), 0.1))
    off = 0.5 if declared <= 5.5 else 1.0
    source = "Regulation (EU) 1169/2011, annex XII"
    yield {"property": "alcohol", "least": plain(declared - off, 0.1), "most": plain(declared + off, 0.1)} | {
        "source": source
    }
    co2 = _co2(beer, form)
    own = {"source": "Own standard"}
    yield {"property": "co2", "least": plain(co2 - 0.5, 0.1), "most": plain(co2 + 0.5, 0.1)} | own
    yield {"property": "total_oxygen", "most": MOST_OXYGEN_PPB} | own


def _co2(beer: Beer, form: str) -> float:
    return _CO2[beer.code] + (0.3 if form == "C24" else 0)


def results(paper: Paper, dice: Dice, extracts: Dice) -> Iterator[Entry]:
    """Yield two certificates of each packaged lot, and its release on the first unless it was held before."""
    beers = {beer.code: beer for beer in BEERS}
    held = {row["lot"] for row in paper.rows["decisions"]}
    for fill in paper.rows["packagings"]:
        lot, filled = fill["packaged_lot"], datetime.fromisoformat(fill["happened_at"])
        short, form, number = lot.split("-")
        values = {
            "alcohol": scattered(dice, alcohol(beers[short], filled), 0.1, 0.05),
            "original_extract": scattered(extracts, _original(beers[short], filled), 0.12, 0.1),
            "co2": scattered(dice, _co2(beers[short], form), 0.15, 0.05),
            "total_oxygen": scattered(dice, 110 if form == "C24" else 65, 30, 5),
            "taste": "passed",
        }
        yield _certificate(lot, f"AN-{number}", filled + MEASURED_AFTER, values)
        if lot not in held:
            row = {"lot": lot, "decision": "released", "reason": f"Results AN-{number} within limits, taste passed"}
            yield Entry("decisions", filled + MEASURED_AFTER + timedelta(minutes=6), "quality", [row])
        if filled + PLATES_AFTER < moment(END, "18:00"):
            grown = "40" if int(number) == PACKAGED_LOT_REJECTED else "< 1"
            yield _certificate(lot, f"MB-{number}", filled + PLATES_AFTER, {"spoilers": grown})


def gauged(paper: Paper, mornings: Sequence[Sequence[Seen]], dice: Dice) -> Iterator[Entry]:
    """Yield what was measured of the beer whose tank was gauged: what was found short may be taxed by its strength."""
    seen = sorted((one for morning in mornings for one in morning), key=lambda one: one.when)
    for row in paper.rows["counts"]:
        when, vessel = datetime.fromisoformat(row["happened_at"]), row["location"]
        beers = [one.beer for one in seen if one.vessel == vessel and one.when < when]
        if beers and row["unit"] == "hL":
            values = {
                "alcohol": scattered(dice, alcohol(beers[-1], when), 0.1, 0.05),
                "original_extract": scattered(dice, _original(beers[-1], when), 0.12, 0.1),
            }
            yield _certificate(row["lot"], f"GA-{row['record'][-4:]}", when + GAUGED_AFTER, values)


def _certificate(lot: str, number: str, when: datetime, values: dict[str, str]) -> Entry:
    head = {"lot": lot, "number": number, "laboratory": OWN, "issued_on": f"{when:%Y-%m-%d}"}
    rows = [{**head, "property": key, "value": values[key], "method": _METHODS.get(key, "")} for key in values]
    return Entry("certificates", when, "quality", rows)
