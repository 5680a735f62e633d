"""Materials: their settings, told apart from what they were when somebody looked."""

import hashlib
import json
from typing import Any

from django.db.models import QuerySet

from inventory.models import Balance, Lot, Material

SETTINGS = (
    "arrives",
    "delivery_tolerance_ppm",
    "count_tolerance_ppm",
    "warmest_arrival_milli_c",
    "shelf_life_days",
    "told_days_before",
    "open_days",
    "allergens",
    "allergens_exempt_in_eu",
    "is_of_animal_origin",
    "claims",
    "salt",
    "container",
)
"""What may be set of a material after it was entered."""


def settings_of(material: Material) -> dict[str, Any]:
    """Return the settings as they are."""
    return {name: getattr(material, name) for name in SETTINGS}


def version_of(material: Material) -> str:
    """Return a word that changes whenever a setting does."""
    told = json.dumps(settings_of(material), sort_keys=True)
    return hashlib.sha256(told.encode()).hexdigest()[:16]


def lots_inside(material: Material) -> QuerySet[Lot]:
    """Return the lots of the material of which something lies in the brewery, each with its material."""
    held = Balance.objects.inside().values("lot")
    return Lot.objects.filter(material=material, reversed_by=None, pk__in=held).select_related("material")
