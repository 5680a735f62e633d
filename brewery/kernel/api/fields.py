"""What stands in a request or an answer: quantities with units, moments with offsets, things by their codes.

A line's quantity stands beside its unit (`"quantity": "12.5", "unit": "kg"`); a quantity with a name of its own is an
object of both (`"loss": {"quantity": "5", "unit": "L"}`).
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from fractions import Fraction
from operator import attrgetter
from typing import Any, ClassVar, cast

from django.db import models
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from brewery.science.units import MICRO, UNITS, BaseUnit, UnitError, format_micro, to_micro

FIRST_YEAR, LAST_YEAR = 1900, 2999
CODE_LENGTH = 40
BASE_UNITS = [unit.value for unit in BaseUnit]
ALL_UNITS = list(UNITS)


@dataclass(frozen=True)
class Amount:
    """A quantity as it was sent, in whole micro-units of `base`."""

    micro: int
    base: BaseUnit


class TextField(serializers.CharField):
    """Text, and nothing else: a number or a truth value is not taken for what it looks like when written."""

    default_error_messages = {"invalid": "Write it as text in quotes."}

    def to_internal_value(self, data: Any) -> str:
        """Return the text. Raises ValidationError for what is not text."""
        if not isinstance(data, str):
            self.fail("invalid")
        return super().to_internal_value(data)


class DecimalTextField(TextField):
    """A plain decimal as text. A JSON number is refused: on its way it may have become a binary fraction."""

    default_error_messages = {"invalid": 'Write the number as text in quotes, as in "12.5".'}


class PartsField(DecimalTextField):
    """A plain decimal as text, kept in whole parts of one: "0.5" per cent as 5 000 parts of 10 000 each."""

    default_error_messages = {
        "not_a_number": 'Write a plain decimal as text, as in "12.5".',
        "too_fine": "It is written more finely than it is kept: up to {places} decimals.",
    }

    def __init__(self, parts: int, **options: Any) -> None:
        super().__init__(**options)
        self.parts = parts

    def to_internal_value(self, data: Any) -> Any:
        """Return the number in parts. Raises ValidationError."""
        text = super().to_internal_value(data)
        if not _PLAIN_DECIMAL.fullmatch(text):
            self.fail("not_a_number")
        exact = Fraction(text) * self.parts
        if exact.denominator != 1:
            self.fail("too_fine", places=len(str(self.parts)) - 1)
        return int(exact)

    def to_representation(self, value: Any) -> str:
        """Return the number as a plain decimal."""
        return format_micro(int(value) * MICRO // self.parts, "each")


_PLAIN_DECIMAL = re.compile(r"-?[0-9]{1,12}(\.[0-9]{1,12})?")


class UnitField(serializers.ChoiceField):
    """One of the units known here."""

    default_error_messages = {"invalid_choice": f"Write one of: {', '.join(UNITS)}."}

    def __init__(self, **options: Any) -> None:
        super().__init__(choices=ALL_UNITS, **options)


class QuantityPair(serializers.Serializer[Any]):
    """`quantity` and `unit`, side by side; what is read holds `amount` instead, an Amount above zero."""

    quantity = DecimalTextField(max_length=60)
    unit = UnitField()

    may_be_nothing: ClassVar[bool] = False

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return what was read with one `amount`. Raises ValidationError where the quantity cannot be."""
        text, unit = attrs.pop("quantity"), attrs.pop("unit")
        try:
            amount = Amount(to_micro(text, unit), UNITS[unit].base)
        except UnitError as wrong:
            raise serializers.ValidationError({"quantity": str(wrong)}, code=wrong.code) from wrong
        if amount.micro < 0 or not (amount.micro or self.may_be_nothing):
            least = "0 or more" if self.may_be_nothing else "more than 0, a millionth at least"
            raise serializers.ValidationError({"quantity": f"Give {least}."}, code="too_little")
        return {**attrs, "amount": amount}


class NamedQuantity(QuantityPair):
    """A quantity with a name of its own: an object of `quantity` and `unit`, read as an Amount."""

    def __init__(self, *args: Any, base: BaseUnit | None = None, **options: Any) -> None:
        self.base = base
        super().__init__(*args, **options)

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Return the Amount. Raises ValidationError where its unit measures something else than `base`."""
        amount: Amount = super().validate(attrs)["amount"]
        if self.base:
            refuse_other_unit(amount, self.base)
        return amount


class NamedQuantityOrNothing(NamedQuantity):
    """As NamedQuantity, and may be 0: a loss, a count."""

    may_be_nothing = True


def refuse_other_unit(amount: Amount, base: BaseUnit | str) -> None:
    """Raise ValidationError unless the amount is in a unit of what is measured in `base`."""
    if amount.base != base:
        fitting = ", ".join(unit.symbol for unit in UNITS.values() if unit.base == base)
        raise serializers.ValidationError({"unit": f"This is counted in {base}: write {fitting}."}, code="other_unit")


def quantity_of(micro: int, unit: str) -> dict[str, str]:
    """Return a quantity as answers show it: a plain decimal as text, and its base unit."""
    return {"quantity": format_micro(micro, unit), "unit": unit}


class QuantityAnswer(serializers.Serializer[Any]):
    """A quantity in an answer."""

    quantity = serializers.CharField()
    unit = serializers.ChoiceField(choices=BASE_UNITS)


@extend_schema_field(QuantityAnswer)
class QuantityShown(serializers.Field[Any, Any, Any, Any]):
    """A quantity of the row that is shown: `micro` and `unit` are dotted names of where they stand, or a base unit."""

    def __init__(self, micro: str, unit: str | BaseUnit, **options: Any) -> None:
        super().__init__(source="*", read_only=True, **options)
        self.micro = attrgetter(micro)
        self.unit = (lambda _: unit.value) if isinstance(unit, BaseUnit) else attrgetter(unit)

    def to_representation(self, value: Any) -> dict[str, str] | None:
        """Return the quantity, or nothing where the row has none."""
        micro = self.micro(value)
        return None if micro is None else quantity_of(micro, self.unit(value))


class MomentField(serializers.DateTimeField):
    """A moment in ISO 8601 with its offset, as in 2026-03-02T08:00:00+01:00 or …Z. Answers are in UTC."""

    default_error_messages = {
        "invalid": "Write it as 2026-03-02T08:00:00+01:00.",
        "naive": "Say which time zone it is in, as in 2026-03-02T08:00:00+01:00 or 2026-03-02T07:00:00Z.",
        "out_of_time": f"Give a year from {FIRST_YEAR} to {LAST_YEAR}.",
    }

    def enforce_timezone(self, value: datetime) -> datetime:
        """Return the moment in UTC. Raises ValidationError where it has no offset, or is beyond any record."""
        if value.tzinfo is None:
            self.fail("naive")
        if not FIRST_YEAR <= value.year <= LAST_YEAR:
            self.fail("out_of_time")
        return value.astimezone(UTC)


@extend_schema_field({"type": "string", "maxLength": CODE_LENGTH})
class CodeField(TextField):
    """Something on record, named by its code. Each code is looked up once a request."""

    default_error_messages = {"unknown_code": "There is no {thing} of this code: look it up in the list."}

    def __init__(self, *, thing: str, find: Callable[[str], models.Model | None], **options: Any) -> None:
        super().__init__(max_length=CODE_LENGTH, **options)
        self.thing = thing
        self.find = find

    def run_validation(self, data: Any = serializers.empty) -> Any:
        """Return the row, or None where that is asked for and may be. Raises ValidationError where nothing bears it."""
        code: str | None = super().run_validation(data)
        if code is None:
            return None
        found: dict[tuple[str, str], models.Model | None] = cast(dict[str, Any], self.context).setdefault("found", {})
        key = (self.thing, code)
        if key not in found:
            found[key] = self.find(code)
        if found[key] is None:
            self.fail("unknown_code", thing=self.thing)
        return found[key]
