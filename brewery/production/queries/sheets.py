"""Brew sheets: by number, by beer, and with all that they say."""

from django.db.models import QuerySet

from brewery.production.models import BrewSheet
from inventory.models import Material

CONTENTS = (
    "grains__material",
    "hops__material",
    "salts__material",
    "ions",
    "mash_steps",
    "cellar_steps",
    "formats",
)
"""What a sheet lists, each in the order in which it stands."""


def sheets() -> QuerySet[BrewSheet]:
    """Return the sheets, each with its beer, its yeast and who wrote it."""
    return BrewSheet.objects.select_related("beer", "yeast", "written_by")


def sheets_in_full() -> QuerySet[BrewSheet]:
    """Return the sheets with all that they say: a fixed number of queries however many."""
    return sheets().prefetch_related(*CONTENTS)


def sheet_of(number: int) -> BrewSheet | None:
    """Return the sheet of that number with all that it says."""
    return sheets_in_full().filter(pk=number).first()


def sheets_of_beer(beer: Material) -> QuerySet[BrewSheet]:
    """Return the sheets of the beer, the newest version first."""
    return sheets().filter(beer=beer).order_by("-version")


def sheet_in_use(beer: Material) -> BrewSheet | None:
    """Return the newest sheet of the beer that is in use, with all that it says."""
    return sheets_in_full().filter(beer=beer, state=BrewSheet.State.IN_USE).order_by("-version").first()
