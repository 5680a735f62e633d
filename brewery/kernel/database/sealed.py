"""Which tables are sealed: each app names its own, with the way from a row to the request that wrote it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.apps import apps
from django.db import models


@dataclass(frozen=True)
class SealedTable:
    """One table whose rows never change, but for the columns of `marks`.

    `owner` is the lookup from a row to its request, such as `event__request`. `later` are columns that came when rows
    were under seals already, with what those rows then held: a row that still holds it is sealed as it was before.
    """

    label: str
    owner: str
    marks: frozenset[str] = field(default_factory=frozenset)
    later: Mapping[str, Any] = field(default_factory=dict)

    @property
    def model(self) -> type[models.Model]:
        """The model of the table."""
        return apps.get_model(self.label)

    @property
    def columns(self) -> list[str]:
        """The columns that are sealed, in the order in which the model names them, and those that came later last."""
        names = [one.attname for one in self.model._meta.concrete_fields if one.attname not in self.marks]
        return [*(name for name in names if name not in self.later), *self.later]

    def sealed(self, values: Sequence[Any]) -> list[Any]:
        """Return what is sealed of the values of the columns: of later ones with their names, and what is new alone."""
        first = len(values) - len(self.later)
        told = zip(self.later.items(), values[first:], strict=True)
        return [*values[:first], *([name, value] for (name, before), value in told if value != before)]


_registered: dict[str, SealedTable] = {
    table.label: table for table in (SealedTable("kernel.Request", "pk", frozenset({"result_id"})),)
}


def register(tables: Iterable[SealedTable]) -> None:
    """The rows of these tables are sealed from now on."""
    _registered.update({table.label: table for table in tables})


def sealed_tables() -> list[SealedTable]:
    """Return every sealed table, in order of its name."""
    return [_registered[label] for label in sorted(_registered)]
