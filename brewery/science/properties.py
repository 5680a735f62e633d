"""Properties: what can be measured of malt, hops, yeast, water and packaging, and how a measured value is written.

Numbers are kept in whole millionths of the property's unit. "< 0.1" says that the true figure lies below 0.1 and
"> 95" that it lies above 95: what a laboratory writes at the end of its range.
"""

import enum
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from brewery.science.units import MICRO, UnitError, format_micro, to_micro

_WRITTEN = re.compile(r"(?P<bound>[<>])? ?(?P<number>-?[0-9]{1,12}(?:\.[0-9]{1,12})?)")
LONGEST_WORDS = 120


class Form(enum.StrEnum):
    """What a value looks like."""

    NUMBER = "number"
    WHOLE = "whole number"
    CHOICE = "choice"
    DAY = "day"
    WORDS = "words"


@dataclass(frozen=True, slots=True)
class Property:
    """One thing that is measured or stated.

    A number outside of `least_micro` to `most_micro` is a slip of the pen and no measurement; the ranges are wide on
    purpose, limits are set per material. `source` says where the unit and the range come from. `fails` are those of
    the `choices` that keep no limit.
    """

    key: str
    label: str
    unit: str
    least_micro: int
    most_micro: int
    source: str
    form: Form = Form.NUMBER
    choices: tuple[str, ...] = ()
    fails: tuple[str, ...] = ()

    @property
    def is_number(self) -> bool:
        """Whether it is measured in numbers, so that limits can be set."""
        return self.form in (Form.NUMBER, Form.WHOLE)


@dataclass(frozen=True, slots=True)
class Reading:
    """One value as read: a number in millionths with its bound ("", "<" or ">"), or a word."""

    value_micro: int | None = None
    bound: str = ""
    text: str = ""


class NotAReading(ValueError):
    """What was written is no value of the property; the text says why and what would do."""


def named(*properties: Property) -> Mapping[str, Property]:
    """Return the properties by their keys, in the order given."""
    return MappingProxyType({one.key: one for one in properties})


def number(key: str, label: str, unit: str, least: int | str, most: int, source: str) -> Property:
    """Return a property that is measured in numbers of `unit`."""
    return Property(key, label, unit, to_micro(least, "each"), most * MICRO, source)


def whole(key: str, label: str, least: int, most: int, source: str) -> Property:
    """Return a property that is counted."""
    return Property(key, label, "", least * MICRO, most * MICRO, source, Form.WHOLE)


def choice(key: str, label: str, *choices: str, source: str, fails: tuple[str, ...] = ()) -> Property:
    """Return a property that is one of a few words; those of `fails` are not what is asked."""
    return Property(key, label, "", 0, 0, source, Form.CHOICE, choices, fails)


def words(key: str, label: str, source: str) -> Property:
    """Return a property that is said in words."""
    return Property(key, label, "", 0, 0, source, Form.WORDS)


def day(key: str, label: str, source: str) -> Property:
    """Return a property that is a calendar day."""
    return Property(key, label, "", 0, 0, source, Form.DAY)


def read(measured: Property, written: str) -> Reading:
    """Return the value that was written. Raises NotAReading."""
    text = written.strip()
    if measured.is_number:
        return _read_number(measured, text)
    if not text or len(text) > LONGEST_WORDS or not text.isprintable():
        raise NotAReading(f"{written!r} is not a value of it; write up to {LONGEST_WORDS} characters.")
    if measured.form is Form.CHOICE and text not in measured.choices:
        raise NotAReading(f"{text!r} is none of its values; write one of: {', '.join(measured.choices)}.")
    if measured.form is Form.DAY:
        _refuse_no_day(text)
    return Reading(text=text)


def _read_number(measured: Property, text: str) -> Reading:
    found = _WRITTEN.fullmatch(text)
    if not found:
        raise NotAReading(f"{text!r} is no number; write it as 4.5, < 0.1 or > 95, without the unit.")
    try:
        micro = to_micro(found["number"], "each")
    except UnitError as wrong:
        raise NotAReading(f"{text!r} is more than can be kept.") from wrong
    if measured.form is Form.WHOLE and (micro % MICRO or found["bound"]):
        raise NotAReading(f"{text!r} is no whole number.")
    end = {"<": measured.least_micro, ">": measured.most_micro}.get(found["bound"] or "")
    if not measured.least_micro <= micro <= measured.most_micro or micro == end:
        raise NotAReading(f"{with_unit(text, measured)} cannot be; plausible is {plausible(measured)}.")
    return Reading(micro, found["bound"] or "")


def _refuse_no_day(text: str) -> None:
    try:
        read_day = date.fromisoformat(text)
    except ValueError:
        read_day = None
    if read_day is None or text != read_day.isoformat():
        raise NotAReading(f"{text!r} is no day; write it as 2026-03-02.")


def written(reading: Reading) -> str:
    """Return the value as it is written: "4.5", "< 0.1", "pellets 90"."""
    if reading.value_micro is None:
        return reading.text
    figure = plain(reading.value_micro)
    return f"{reading.bound} {figure}" if reading.bound else figure


def plain(micro: int) -> str:
    """Return millionths as a plain decimal."""
    return format_micro(micro, "each")


def with_unit(text: str, measured: Property) -> str:
    """Return the value with the unit of the property, where it has one."""
    return f"{text} {measured.unit}" if measured.unit else text


def plausible(measured: Property) -> str:
    """Return the range within which a number may be, in words."""
    return with_unit(f"{plain(measured.least_micro)} to {plain(measured.most_micro)}", measured)
