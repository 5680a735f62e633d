"""Formats: into what a beer is filled, and what one of them would be called, keep and come to."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import F, Q, QuerySet

from brewery.production.models import BrewSheet, PackagingFill
from brewery.production.queries.packaging_codes import best_before_for, next_codes
from brewery.science.lot_patterns import Filled
from inventory.models import Balance, Location, Material, Posting


@dataclass(frozen=True)
class Format:
    """One format with the next lot code, the best-before day by the rule, and how many a tank's beer would fill."""

    material: Material
    code: str
    best_before: date | None
    expected: int | None

    def __str__(self) -> str:
        return self.material.name


def formats_of(beer: Material) -> list[Material]:
    """Return the formats of the beer's sheet in use first, then those it was filled into before.

    Where there is neither, those that bear the beer's name, and all where there is none. Of beers of which one's name
    begins with another's, a format belongs to the longest.
    """
    packaged = Material.objects.filter(kind=Material.Kind.PACKAGED).order_by("name", "pk")
    before = PackagingFill.objects.filter(run__beer=beer, event__reversed_by=None).values("lot__material")
    by_the_sheet = packaged.filter(packaged_by_sheets__beer=beer, packaged_by_sheets__state=BrewSheet.State.IN_USE)
    found = [*by_the_sheet.distinct(), *packaged.filter(pk__in=before)]
    return list(dict.fromkeys(found)) or _named_for(beer, packaged) or list(packaged)


def _named_for(beer: Material, packaged: QuerySet[Material]) -> list[Material]:
    longer = Material.objects.filter(kind=Material.Kind.BEER, name__startswith=beer.name).exclude(pk=beer.pk)
    others = Q(pk=None)
    for name in longer.values_list("name", flat=True):
        others |= Q(name__startswith=name)
    return list(packaged.filter(Q(name__startswith=beer.name) & ~others))


def format_offered(material: Material, tank: Balance | None, line: str, moment: datetime) -> Format:
    """Return one format as a form shows it; how many is the tank's whole beer without any loss."""
    code = next(iter(next_codes(material, Filled(moment, line, tank.location.code if tank else ""), 1)), "")
    expected = tank.quantity_micro // material.contents_micro if tank and material.contents_micro else None
    return Format(material, code, best_before_for(material, moment), expected)


def filled_tanks(beer: Material) -> list[Balance]:
    """Return what lies in each tank, those of the beer first, of these the bright tanks."""
    rows = Balance.objects.held().filter(location__kind__in=Location.TANKS).select_related("location", "lot__material")
    return sorted(rows, key=lambda row: _rank(row, beer))


def usual_store(material: Material) -> Location | None:
    """Return the store that the last fill of the format went to."""
    rows = _of_fills().filter(lot__material=material, to_location__kind=Location.Kind.STORE)
    last = rows.select_related("to_location").order_by("-pk").first()
    return last.to_location if last else None


def _of_fills() -> QuerySet[Posting]:
    """Return what put each packaged lot where it stood when it was filled."""
    return Posting.objects.filter(event__reversed_by=None, lot=F("event__packaging_fill__lot"))


def _rank(row: Balance, beer: Material) -> tuple[bool, bool, str]:
    is_bright = row.location.kind == Location.Kind.BRIGHT_TANK
    return row.lot.material_id != beer.pk, not is_bright, row.location.code
