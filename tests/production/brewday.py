"""A brew day in short: a sheet in use of the lager, a brew by it, and what is written into its log."""

from datetime import datetime
from typing import Any

from brewery.kernel.clock import now
from brewery.kernel.models import Request
from brewery.production.models import Brew, BrewSheet, CellarStep, LogEntry, MashStep, SheetGrain, SheetHop
from brewery.production.services.brew_log import LogLine, correct_log, write_in_log
from brewery.production.services.work import start_brew
from tests.brewhouse import Brewhouse, at, micro, rid


def sheet_of(house: Brewhouse, state: str = BrewSheet.State.IN_USE, **facts: Any) -> BrewSheet:
    """Return a sheet of 1000 L at 12 °P, 2.5 °P and 30 BU: 200 kg of Pilsner malt, 100 g alpha of Saaz, 60 min."""
    request = Request.objects.create(
        id=rid(), action="test", actor=house.people["brewing"], content={}, recorded_at=now()
    )
    told = {
        "cold_wort_micro": micro("1000 L"),
        "original_gravity_milli_p": 12_000,
        "final_gravity_milli_p": 2_500,
        "bitterness_milli_bu": 30_000,
        "yield_ppm": 750_000,
        "boil_minutes": 60,
        "evaporation_ppm": 60_000,
        **facts,
    }
    sheet = BrewSheet.objects.create(
        beer=house.material("LAGER"),
        version=BrewSheet.objects.count() + 1,
        written_by=house.people["brewing"],
        written_at=at(0),
        request=request,
        **told,
    )
    SheetGrain.objects.create(sheet=sheet, position=1, material=house.material("PILS"), weight_micro=micro("200 kg"))
    SheetHop.objects.create(
        sheet=sheet,
        position=1,
        material=house.material("SAAZ"),
        stage=SheetHop.Stage.BOIL,
        minutes=60,
        alpha_micro=micro("100 g"),
    )
    for position, degrees in enumerate((50_000, 63_000, 72_000), 1):
        MashStep.objects.create(
            sheet=sheet, position=position, vessel="mash_tun", action="rest", temperature_milli_c=degrees, minutes=20
        )
    CellarStep.objects.create(sheet=sheet, position=1, phase="fermentation", temperature_milli_c=9_000, days=7)
    if state == BrewSheet.State.IN_USE:
        sheet.state, sheet.put_in_use_at = state, at(0)
        sheet.save()
    return sheet


def brew_by(house: Brewhouse, sheet: BrewSheet | None, code: str = "B1", *, hours: float = 2, **facts: Any) -> Brew:
    """Start the brew by the sheet."""
    return start_brew(
        code=code, beer=house.material("LAGER"), started_at=at(hours), sheet=sheet, **facts, **house.by("brewing")
    )


def reading(step: str, property: str, value: str, *, hot: bool = False, vessel: str = "") -> LogLine:
    """Return a line that reads a property."""
    return LogLine(step, property, micro(f"{value} each"), hot, vessel)


def write(house: Brewhouse, brew: Brew, line: LogLine, *, hours: float = 3, moment: datetime | None = None) -> LogEntry:
    """Write the line into the brew's log."""
    return write_in_log(brew=brew, line=line, happened_at=moment or at(hours), **house.by("brewing"))


def correct(house: Brewhouse, entry: LogEntry, line: LogLine, *, hours: float = 3, reason: str = "misread") -> LogEntry:
    """Correct a line of a log."""
    return correct_log(entry=entry, line=line, happened_at=at(hours), reason=reason, **house.by("brewing"))
