"""Volumes in requests: beer, wort and what is lost of them."""

from typing import Any

from brewery.kernel.api.fields import Amount, NamedQuantity, NamedQuantityOrNothing, QuantityPair, refuse_other_unit
from brewery.science.units import BaseUnit


class VolumeAsked(QuantityPair):
    """A volume as the line's own quantity; read as `quantity_micro`, in millionths of a litre."""

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Return what was read. Raises ValidationError where the unit is not one of volume."""
        read = super().validate(attrs)
        amount: Amount = read.pop("amount")
        refuse_other_unit(amount, BaseUnit.L)
        return {**read, "quantity_micro": amount.micro}


def volume(**options: Any) -> NamedQuantity:
    """Return a field for a volume with a name of its own."""
    return NamedQuantity(base=BaseUnit.L, **options)


def loss(**options: Any) -> NamedQuantityOrNothing:
    """Return a field for a volume that is lost; nothing is lost where it is left out."""
    return NamedQuantityOrNothing(base=BaseUnit.L, required=False, **options)


def micro_or_nothing(amount: Amount | None) -> int:
    """Return the micro-units, or 0 where nothing was given."""
    return amount.micro if amount else 0
