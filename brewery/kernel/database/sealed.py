"""Which tables are sealed: each app names its own, with the way from a row to the request that wrote it."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from django.apps import apps
from django.db import models


@dataclass(frozen=True)
class SealedTable:
    """One table whose rows never change, but for the columns of `marks`.

    `owner` is the lookup from a row to its request, such as `event__request`.
    """

    label: str
    owner: str
    marks: frozenset[str] = field(default_factory=frozenset)

    @property
    def model(self) -> type[models.Model]:
        """The model of the table."""
        return apps.get_model(self.label)

    @property
    def columns(self) -> list[str]:
        """The columns that are sealed, in the order in which the model names them."""
        return [one.attname for one in self.model._meta.concrete_fields if one.attname not in self.marks]


_registered: dict[str, SealedTable] = {
    table.label: table for table in (SealedTable("kernel.Request", "pk", frozenset({"result_id"})),)
}


def register(tables: Iterable[SealedTable]) -> None:
    """The rows of these tables are sealed from now on."""
    _registered.update({table.label: table for table in tables})


def sealed_tables() -> list[SealedTable]:
    """Return every sealed table, in order of its name."""
    return [_registered[label] for label in sorted(_registered)]
