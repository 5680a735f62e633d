"""What may be set of a material, as requests and answers write it."""

from collections.abc import Iterable
from typing import Any

from rest_framework import serializers

from brewery.kernel.api.fields import PartsField
from brewery.science.allergens import ALLERGENS, CLAIMS, EXEMPT_IN_EU
from brewery.science.salts import SALTS
from inventory.models import Material
from inventory.models.dispositions import Disposition

PPM_IN_PERCENT = 10_000
THOUSANDTHS = 1_000
LONGEST_SHELF_LIFE_DAYS = 3_650
ALLERGEN_CODES = list(ALLERGENS)
CLAIM_CODES = list(CLAIMS)
FORMULAS = list(SALTS)


def _codes(known: Iterable[str]) -> serializers.ListField:
    return serializers.ListField(child=serializers.ChoiceField(choices=list(known)), required=False)


class MaterialSettings(serializers.Serializer[Any]):
    """The settings of a material. Tolerances are percentages, the warmest arrival is in degrees Celsius."""

    arrives = serializers.ChoiceField(choices=Disposition.choices, required=False)
    delivery_tolerance_pct = PartsField(PPM_IN_PERCENT, source="delivery_tolerance_ppm", required=False)
    count_tolerance_pct = PartsField(PPM_IN_PERCENT, source="count_tolerance_ppm", required=False)
    warmest_arrival_c = PartsField(THOUSANDTHS, source="warmest_arrival_milli_c", required=False, allow_null=True)
    shelf_life_days = serializers.IntegerField(
        min_value=1, max_value=LONGEST_SHELF_LIFE_DAYS, required=False, allow_null=True
    )
    told_days_before = serializers.IntegerField(
        min_value=0, max_value=LONGEST_SHELF_LIFE_DAYS, required=False, allow_null=True
    )
    open_days = serializers.IntegerField(
        min_value=0, max_value=LONGEST_SHELF_LIFE_DAYS, required=False, allow_null=True
    )
    allergens = _codes(ALLERGEN_CODES)
    allergens_exempt_in_eu = _codes(EXEMPT_IN_EU)
    is_of_animal_origin = serializers.BooleanField(required=False)
    claims = _codes(CLAIM_CODES)
    salt = serializers.ChoiceField(choices=FORMULAS, required=False, allow_blank=True)
    container = serializers.ChoiceField(choices=Material.Container.choices, required=False, allow_blank=True)
