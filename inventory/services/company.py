"""The numbers that GS1 gave the brewery, and those that it gives out itself under them."""

from django.conf import settings

from brewery.science import gs1


def own_gln() -> str:
    """Return the global location number (GLN) of the brewery: the first of its company prefix."""
    return gs1.gln(settings.GS1_COMPANY_PREFIX)
