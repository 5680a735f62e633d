"""The brew sheet that an address names."""

from django.http import Http404

from brewery.production.models import BrewSheet
from brewery.production.queries.sheets import sheet_of


def sheet_or_404(number: int) -> BrewSheet:
    """Return the sheet of that number with all that it says. Raises Http404."""
    found = sheet_of(number)
    if found is None:
        raise Http404(f"There is no brew sheet {number}.")
    return found
