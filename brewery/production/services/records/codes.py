"""Codes: what the cells of a record name, found in the record, each looked up once."""

from collections.abc import Callable
from decimal import Decimal
from typing import TypeVar, cast

from django.db import models

from brewery.kernel.models import Request, User
from brewery.kernel.tables.reading import Row
from brewery.production.models import Brew, PackagingRun
from brewery.production.services.records.kinds import KINDS
from brewery.production.services.records.problems import Misfit
from brewery.production.services.records.rows import request_id_of
from brewery.production.services.work import Work
from brewery.science.units import BaseUnit, UnitError, to_micro
from inventory.models import Event, Location, Lot, Material, Party

Found = TypeVar("Found", bound=models.Model)


class Codes:
    """Finds what cells name. Every method raises Misfit, pointing at the cell, where there is no such thing.

    `handed_over_before` is set while a record is read that is there already: it may name lots that count no longer.
    """

    def __init__(self) -> None:
        self.handed_over_before = False
        self._found: dict[tuple[str, str], models.Model] = {}

    def forget_lots(self) -> None:
        """Look lots up anew, after a reversal has made some of them count no longer."""
        self._found = {key: row for key, row in self._found.items() if not isinstance(row, Lot)}

    def person(self, row: Row, column: str) -> User:
        """Return the person of that user name."""
        return self._find(row, column, "person", _person)

    def material(self, row: Row, column: str) -> Material:
        """Return the material of that code."""
        return self._find(row, column, "material", _material)

    def location(self, row: Row, column: str) -> Location:
        """Return the location of that code."""
        return self._find(row, column, "location", _location)

    def party(self, row: Row, column: str) -> Party:
        """Return the party of that code, whose role the column's name says: supplier or customer."""
        party = self._find(row, column, "party", _party)
        if party.role != column:
            raise Misfit(row.line, column, f"{party} is a {party.role}; this needs a {column}.")
        return party

    def lot(self, row: Row, column: str) -> Lot:
        """Return the lot of that code, with its material."""
        return self._find(row, column, "lot", _any_lot if self.handed_over_before else _lot)

    def brew(self, row: Row, column: str) -> Brew:
        """Return the brew of that code."""
        return self._find(row, column, "brew", _brew)

    def run(self, row: Row, column: str) -> PackagingRun:
        """Return the packaging run of that code."""
        return self._find(row, column, "packaging run", _run)

    def work(self, row: Row, column: str) -> Work:
        """Return the brew or packaging run of that code."""
        return cast(Work, self._find(row, column, "brew or packaging run", _work))

    def event(self, row: Row, file_column: str, column: str) -> Event:
        """Return the event that another file's record became."""
        kind = KINDS[row[file_column].removesuffix(".csv")]
        request = Request.objects.filter(pk=request_id_of(kind, row[column])).first()
        if request is None:
            raise Misfit(row.line, column, f"No record {row[column]!r} of {kind.file} is known by then.", row[column])
        return Event.objects.get(pk=cast(int, request.result_id))

    def _find(self, row: Row, column: str, thing: str, look: Callable[[str], Found | None]) -> Found:
        code = row[column]
        key = (look.__qualname__, code)
        found = cast(Found | None, self._found.get(key)) or look(code)
        if found is None:
            raise Misfit(row.line, column, f"There is no {thing} {code!r} by then.", code)
        self._found[key] = found
        return found


def _person(code: str) -> User | None:
    return User.objects.filter(username=code).first()


def _material(code: str) -> Material | None:
    return Material.objects.filter(code=code).first()


def _location(code: str) -> Location | None:
    return Location.objects.filter(code=code).first()


def _party(code: str) -> Party | None:
    return Party.objects.filter(code=code).first()


def _lot(code: str) -> Lot | None:
    return Lot.objects.filter(code=code, reversed_by=None).select_related("material").first()


def _any_lot(code: str) -> Lot | None:
    return Lot.objects.filter(code=code).select_related("material").order_by("-pk").first()


def _brew(code: str) -> Brew | None:
    return Brew.objects.filter(code=code).select_related("location").first()


def _run(code: str) -> PackagingRun | None:
    return PackagingRun.objects.filter(code=code).select_related("location").first()


def _work(code: str) -> models.Model | None:
    return _brew(code) or _run(code)


def micro(row: Row, column: str, unit_column: str, base: str) -> int:
    """Return the quantity in micro-units of `base`. Raises Misfit where number and unit do not go together."""
    amount: Decimal = row[column]
    if row[unit_column] is None:
        raise Misfit(row.line, unit_column, f"{amount} needs a unit.")
    try:
        return to_micro(amount, row[unit_column], BaseUnit(base))
    except UnitError as wrong:
        where = unit_column if wrong.code == "other_dimension" else column
        raise Misfit(row.line, where, str(wrong)) from wrong


def micro_if_given(row: Row, column: str, unit_column: str, base: str) -> int | None:
    """Return the quantity in micro-units of `base`, or None where none was given. Raises Misfit."""
    return None if row[column] is None else micro(row, column, unit_column, base)
