"""What a brew sheet says, as requests and answers have it: figures as text in the units of the trade."""

from typing import Any

from rest_framework import serializers

from brewery.kernel.api.fields import (
    Amount,
    NamedQuantity,
    PartsField,
    QuantityPair,
    QuantityShown,
    TextField,
    quantity_of,
    refuse_other_unit,
)
from brewery.production.api.volumes import volume
from brewery.production.models import BrewSheet, CellarStep, MashStep, SheetHop, SheetIon, SheetSalt
from brewery.production.queries.sheet_contents import (
    CellarLine,
    GrainLine,
    HopLine,
    IonTarget,
    MashLine,
    SaltLine,
    SheetContent,
)
from brewery.science.units import BaseUnit
from inventory.api.codes import MaterialField

MILLI, PPM_PER_PCT = 1_000, 10_000
LARGEST = 2**31 - 1
MOST_LINES = 200

VOLUMES = {"cold_wort": "cold_wort_micro", "mash_liquor": "mash_liquor_micro", "sparge_liquor": "sparge_liquor_micro"}
"""What doors call the volumes, and what a sheet calls them."""


def micro_of(read: dict[str, Any], *names: str) -> dict[str, Any]:
    """Return what was read with each named Amount as micro-units."""
    amounts = {f"{name}_micro": _micro(read.pop(name)) for name in names if name in read}
    return {**read, **amounts}


def _micro(amount: Amount | None) -> int | None:
    return amount.micro if amount else None


def _kg(**options: Any) -> NamedQuantity:
    return NamedQuantity(base=BaseUnit.KG, required=False, **options)


def _whole(least: int = 0, **options: Any) -> serializers.IntegerField:
    return serializers.IntegerField(min_value=least, max_value=LARGEST, **options)


class GrainAsked(serializers.Serializer[Any]):
    """A malt or adjunct: its share of the grain in per cent, or its weight."""

    material = MaterialField()
    share_pct = PartsField(PPM_PER_PCT, source="share_ppm", required=False)
    weight = _kg()

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Return a GrainLine."""
        return GrainLine(**micro_of(attrs, "weight"))


class HopAsked(serializers.Serializer[Any]):
    """A hop addition: its weight, or the weight of its alpha acids."""

    material = MaterialField()
    stage = serializers.ChoiceField(choices=SheetHop.Stage.choices)
    minutes = _whole()
    temperature_c = PartsField(MILLI, source="temperature_milli_c", required=False, allow_null=True)
    weight = _kg()
    alpha = _kg()

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Return a HopLine."""
        return HopLine(**micro_of(attrs, "weight", "alpha"))


class SaltAsked(QuantityPair):
    """A salt or acid, and what it goes into."""

    material = MaterialField()
    into = serializers.ChoiceField(choices=SheetSalt.Into.choices)

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Return a SaltLine. Raises ValidationError where the unit does not measure the material."""
        read = super().validate(attrs)
        amount: Amount = read.pop("amount")
        refuse_other_unit(amount, read["material"].base_unit)
        return SaltLine(quantity_micro=amount.micro, **read)


class IonAsked(serializers.Serializer[Any]):
    """What the liquor is to hold of an ion."""

    ion = serializers.ChoiceField(choices=SheetIon.Ion.choices)
    mg_per_l = PartsField(MILLI, source="milli_mg_per_l")

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Return an IonTarget."""
        return IonTarget(**attrs)


class MashAsked(serializers.Serializer[Any]):
    """A step of the mash; what is drawn off says which part of the mash it is."""

    vessel = serializers.ChoiceField(choices=MashStep.Vessel.choices)
    action = serializers.ChoiceField(choices=MashStep.Action.choices)
    temperature_c = PartsField(MILLI, source="temperature_milli_c")
    minutes = _whole()
    share_pct = PartsField(PPM_PER_PCT, source="share_ppm", required=False, allow_null=True)

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Return a MashLine."""
        return MashLine(**attrs)


class CellarAsked(serializers.Serializer[Any]):
    """A stretch of days in the cellar."""

    phase = serializers.ChoiceField(choices=CellarStep.Phase.choices)
    temperature_c = PartsField(MILLI, source="temperature_milli_c")
    days = _whole()

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Return a CellarLine."""
        return CellarLine(**attrs)


class BrewSheetChanges(serializers.Serializer[Any]):
    """What of a draft is to be changed; what is left out stays, and a list is changed as a whole."""

    cold_wort = volume(required=False)
    original_gravity_p = PartsField(MILLI, source="original_gravity_milli_p", required=False)
    final_gravity_p = PartsField(MILLI, source="final_gravity_milli_p", required=False)
    bitterness_bu = PartsField(MILLI, source="bitterness_milli_bu", required=False, allow_null=True)
    colour_ebc = PartsField(MILLI, source="colour_milli_ebc", required=False, allow_null=True)
    yield_pct = PartsField(PPM_PER_PCT, source="yield_ppm", required=False)
    boil_minutes = _whole(required=False)
    evaporation_pct = PartsField(PPM_PER_PCT, source="evaporation_ppm", required=False)
    liquor = MaterialField(required=False, allow_null=True)
    mash_liquor = volume(required=False, allow_null=True)
    sparge_liquor = volume(required=False, allow_null=True)
    yeast = MaterialField(required=False, allow_null=True)
    pitch_cells = _whole(required=False, allow_null=True)
    kraeusen_pct = PartsField(PPM_PER_PCT, source="kraeusen_ppm", required=False)
    is_filtered = serializers.BooleanField(required=False)
    note = TextField(max_length=4_000, required=False, allow_blank=True)
    formats = serializers.ListField(child=MaterialField(), max_length=MOST_LINES, required=False)
    grains = GrainAsked(many=True, required=False)
    hops = HopAsked(many=True, required=False)
    salts = SaltAsked(many=True, required=False)
    ions = IonAsked(many=True, required=False)
    mash_steps = MashAsked(many=True, required=False)
    cellar_steps = CellarAsked(many=True, required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return what was read as a SheetContent names it."""
        read = micro_of(attrs, *VOLUMES)
        return {name: tuple(value) if isinstance(value, list) else value for name, value in read.items()}


class BrewSheetAsked(BrewSheetChanges):
    """A new version of a beer's sheet."""

    beer = MaterialField()
    cold_wort = volume()
    original_gravity_p = PartsField(MILLI, source="original_gravity_milli_p")
    final_gravity_p = PartsField(MILLI, source="final_gravity_milli_p")
    yield_pct = PartsField(PPM_PER_PCT, source="yield_ppm")
    boil_minutes = _whole()


class GrainAnswer(serializers.Serializer[Any]):
    """A malt or adjunct."""

    material = serializers.CharField(source="material.code")
    share_pct = PartsField(PPM_PER_PCT, source="share_ppm", allow_null=True)
    weight = QuantityShown("weight_micro", BaseUnit.KG, allow_null=True)


class HopAnswer(serializers.Serializer[Any]):
    """A hop addition."""

    material = serializers.CharField(source="material.code")
    stage = serializers.ChoiceField(choices=SheetHop.Stage.choices)
    minutes = serializers.IntegerField()
    temperature_c = PartsField(MILLI, source="temperature_milli_c", allow_null=True)
    weight = QuantityShown("weight_micro", BaseUnit.KG, allow_null=True)
    alpha = QuantityShown("alpha_micro", BaseUnit.KG, allow_null=True)


class SaltAnswer(serializers.Serializer[Any]):
    """A salt or acid."""

    material = serializers.CharField()
    into = serializers.ChoiceField(choices=SheetSalt.Into.choices)
    quantity = serializers.CharField()
    unit = serializers.CharField()

    def to_representation(self, line: Any) -> dict[str, Any]:
        """Return the line as answers show it."""
        quantity = quantity_of(line.quantity_micro, line.material.base_unit)
        return {"material": line.material.code, "into": line.into, **quantity}


class IonAnswer(serializers.Serializer[Any]):
    """The target of an ion."""

    ion = serializers.ChoiceField(choices=SheetIon.Ion.choices)
    mg_per_l = PartsField(MILLI, source="milli_mg_per_l")


class MashAnswer(serializers.Serializer[Any]):
    """A step of the mash."""

    vessel = serializers.ChoiceField(choices=MashStep.Vessel.choices)
    action = serializers.ChoiceField(choices=MashStep.Action.choices)
    temperature_c = PartsField(MILLI, source="temperature_milli_c")
    minutes = serializers.IntegerField()
    share_pct = PartsField(PPM_PER_PCT, source="share_ppm", allow_null=True)


class CellarAnswer(serializers.Serializer[Any]):
    """A stretch of days in the cellar."""

    phase = serializers.ChoiceField(choices=CellarStep.Phase.choices)
    temperature_c = PartsField(MILLI, source="temperature_milli_c")
    days = serializers.IntegerField()


class ContentAnswer(serializers.Serializer[Any]):
    """What a sheet says."""

    cold_wort = QuantityShown("cold_wort_micro", BaseUnit.L)
    original_gravity_p = PartsField(MILLI, source="original_gravity_milli_p")
    final_gravity_p = PartsField(MILLI, source="final_gravity_milli_p")
    bitterness_bu = PartsField(MILLI, source="bitterness_milli_bu", allow_null=True)
    colour_ebc = PartsField(MILLI, source="colour_milli_ebc", allow_null=True)
    yield_pct = PartsField(PPM_PER_PCT, source="yield_ppm")
    boil_minutes = serializers.IntegerField()
    evaporation_pct = PartsField(PPM_PER_PCT, source="evaporation_ppm")
    liquor = serializers.CharField(source="liquor.code", allow_null=True, default=None)
    mash_liquor = QuantityShown("mash_liquor_micro", BaseUnit.L, allow_null=True)
    sparge_liquor = QuantityShown("sparge_liquor_micro", BaseUnit.L, allow_null=True)
    yeast = serializers.CharField(source="yeast.code", allow_null=True, default=None)
    pitch_cells = serializers.IntegerField(allow_null=True)
    kraeusen_pct = PartsField(PPM_PER_PCT, source="kraeusen_ppm")
    is_filtered = serializers.BooleanField()
    note = serializers.CharField()
    formats = serializers.SerializerMethodField()
    grains = GrainAnswer(many=True)
    hops = HopAnswer(many=True)
    salts = SaltAnswer(many=True)
    ions = IonAnswer(many=True)
    mash_steps = MashAnswer(many=True)
    cellar_steps = CellarAnswer(many=True)

    def get_formats(self, content: BrewSheet | SheetContent) -> list[str]:
        materials = content.formats.all() if isinstance(content, BrewSheet) else content.formats
        return [material.code for material in materials]
