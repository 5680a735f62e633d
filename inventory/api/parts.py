"""What requests share: a quantity of a lot, at a place or on its way, and the reason for it."""

from typing import Any

from brewery.kernel.api.fields import MomentField, QuantityPair, TextField, refuse_other_unit
from inventory.api.codes import LotField, PlaceField
from inventory.services.stock import Part

LOT_CODE_LENGTH = 20
LONGEST_REASON = 2000
OLDEST_GENERATION = 999


class ReasonField(TextField):
    """Why, in a few words; the service says where one is needed."""

    def __init__(self, **options: Any) -> None:
        super().__init__(max_length=LONGEST_REASON, required=False, allow_blank=True, default="", **options)


class NewCodeField(TextField):
    """The code of a lot that is made."""

    def __init__(self, **options: Any) -> None:
        super().__init__(max_length=LOT_CODE_LENGTH, **options)


class ContentsCodeField(NewCodeField):
    """The code of the new contents, where what comes in goes in beside something else; the service says where."""

    def __init__(self, **options: Any) -> None:
        super().__init__(required=False, allow_blank=True, default="", **options)


class PartAsked(QuantityPair):
    """A quantity of one lot at one place."""

    lot = LotField()
    location = PlaceField()

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Return a Part. Raises ValidationError where the unit does not measure the lot."""
        read = super().validate(attrs)
        refuse_other_unit(read["amount"], read["lot"].material.base_unit)
        return Part(read["lot"], read["location"], read["amount"].micro)


class LotQuantityAsked(QuantityPair):
    """A quantity of one lot, when and why; read as the service wants it, with `quantity_micro`."""

    happened_at = MomentField()
    lot = LotField()
    reason = ReasonField()

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return what was read. Raises ValidationError where the unit does not measure the lot."""
        read = super().validate(attrs)
        amount = read.pop("amount")
        refuse_other_unit(amount, read["lot"].material.base_unit)
        return {**read, "quantity_micro": amount.micro}
