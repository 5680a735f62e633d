"""How a kind is put together: the columns that every record bears, and those that a kind adds."""

from collections.abc import Mapping
from types import MappingProxyType

from brewery.kernel.tables.cells import CODE, MOMENT, Form, text
from brewery.production.services.records.columns import Column, Kind
from inventory.services.cells import LOT

_NOTHING: Mapping[str, str] = MappingProxyType({})


def of_record(name: str, form: Form, *, required: bool = True, makes: bool = False) -> Column:
    """Return a column in which all lines of a record say the same."""
    return Column(name, form, required=required, of_record=True, makes=makes)


def new(name: str, form: Form = LOT, *, required: bool = True, of_record: bool = False) -> Column:
    """Return a column whose cells name something new."""
    return Column(name, form, required=required, of_record=of_record, makes=True)


def optional(name: str, form: Form) -> Column:
    """Return a column that may be left empty, or out."""
    return Column(name, form, required=False)


def register(name: str, *columns: Column, names: Mapping[str, str] = _NOTHING) -> Kind:
    """Return a kind whose lines enter something under a code."""
    return Kind(name, columns, names=names)


def events(
    name: str,
    *columns: Column,
    several_lines: bool = False,
    names: Mapping[str, str] = _NOTHING,
    lists: Mapping[str, str] = _NOTHING,
) -> Kind:
    """Return a kind whose lines tell what happened."""
    head = (
        of_record("record", CODE),
        of_record("happened_at", MOMENT),
        of_record("recorded_by", text(150)),
    )
    return Kind(name, (*head, *columns), several_lines=several_lines, names=names, lists=lists)
