"""Understanding what somebody typed or scanned to trace it: one text, whatever it names, and maybe when."""

import re
from dataclasses import dataclass, field
from datetime import datetime, time

from brewery.kernel.clock import brewery_zone, now
from inventory.queries.lots import lots_of_label
from inventory.services.scan_refusals import UnreadableScan
from inventory.services.scans import Scan, read_scan
from traceability.queries.starts import Sort, Start, start_of, starts_named

_WITH_A_MOMENT = re.compile(
    r"(?P<rest>.+?)[\s,]+(?:(?:on|at)\s+)?"
    r"(?P<day>\d{4}-\d{2}-\d{2}|\d{1,2}\s+[A-Za-z]{3,9}(?:\s+\d{4})?)"
    r"(?:[T\s,]+(?:at\s+)?(?P<time>\d{1,2}:\d{2}))?",
)
_DAYS = ("%Y-%m-%d", "%d %b %Y", "%d %B %Y")
_END_OF_DAY = time(23, 59)


@dataclass(frozen=True)
class Understood:
    """What was meant: one start, or several to choose from, or none; `refusal` says what is wrong with a label."""

    starts: list[Start] = field(default_factory=list)
    at: datetime | None = None
    refusal: str = ""


def understood(text: str) -> Understood:
    """Return what the text means: a code, number or name, a label as scanned, or one of these and a moment.

    A day without its year is the last one that has been; without a time it is that day's end.
    """
    text = text.strip(" \t\r\n")
    if found := _exactly(text):
        return Understood([found])
    if starts := starts_named(text):
        return Understood(starts)
    rest, at = _moment_at_the_end(text)
    if at:
        found = _exactly(rest)
        return Understood([found] if found else starts_named(rest), at)
    return _of_label(text)


def _exactly(text: str) -> Start | None:
    """Return what a text as of a choice offered before names: its sort, a colon, its key."""
    sort, colon, key = text.partition(":")
    return start_of(Sort(sort), key) if colon and sort in list(Sort) else None


def _of_label(text: str) -> Understood:
    try:
        scan = read_scan(text)
    except UnreadableScan as refused:
        return Understood(refusal="" if type(refused) is UnreadableScan else str(refused))
    return Understood([start for sort, key in _named_by(scan) if (start := start_of(sort, key))])


def _named_by(scan: Scan) -> list[tuple[Sort, str]]:
    """Return what a label names, the closest alone: our lot, our place or pallet, a supplier's batch, a material."""
    if scan.own_lot:
        return [(Sort.LOT, scan.own_lot.code)]
    if scan.location:
        return [(Sort.PLACE, scan.location.code)]
    if scan.lot:
        batches = [start for start in starts_named(scan.lot) if start.key.endswith(f"/{scan.lot}")]
        lots = lots_of_label(scan.material, scan.lot).select_related("supplier") if scan.material else []
        of_material = {f"{lot.supplier.code}/{scan.lot}" for lot in lots if lot.supplier}
        return [(start.sort, start.key) for start in batches if not scan.material or start.key in of_material]
    return [(Sort.MATERIAL, scan.material.code)] if scan.material else []


def _moment_at_the_end(text: str) -> tuple[str, datetime | None]:
    """Return the text without the moment at its end, and that moment by the brewery's clock; None without one."""
    found = _WITH_A_MOMENT.fullmatch(text)
    day = _day(found["day"]) if found else None
    if not found or not day:
        return text, None
    try:
        at = datetime.strptime(found["time"], "%H:%M").time() if found["time"] else _END_OF_DAY
    except ValueError:
        return text, None
    return found["rest"], datetime.combine(day, at, brewery_zone())


def _day(words: str) -> datetime | None:
    words = " ".join(words.split())
    has_year = re.search(r"\d{4}", words) is not None
    today = now().astimezone(brewery_zone())
    # 29 February is a day of the last leap year.
    years = [""] if has_year else [f" {today.year - back}" for back in range(9)]
    for year in years:
        for form in _DAYS:
            try:
                day = datetime.strptime(words + year, form)
            except ValueError:
                continue
            if has_year or day.date() <= today.date():
                return day
    return None
