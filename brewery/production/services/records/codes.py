"""Codes: what the cells of a record name, found in the record, each looked up once."""

from collections.abc import Callable
from decimal import Decimal
from typing import TypeVar, cast

from django.db import models

from brewery.kernel.models import Request, User
from brewery.kernel.tables.reading import Row
from brewery.production.models import (
    Brew,
    BrewSheet,
    CustomerOrder,
    CustomerReturn,
    LogEntry,
    PackagingRun,
    RetainedSample,
    TankReading,
)
from brewery.production.services.records.columns import Kind
from brewery.production.services.records.kinds import KINDS
from brewery.production.services.records.problems import Misfit
from brewery.production.services.records.rows import request_id_of
from brewery.production.services.work import Work
from brewery.science.units import BaseUnit, UnitError, to_micro
from inventory.models import Certificate, Event, Location, Lot, Material, OrderLine, Party, SupplyContract

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
        party = self.any_party(row, column)
        if party.role != column:
            raise Misfit(row.line, column, f"{party} is a {party.role}; this needs a {column}.")
        return party

    def any_party(self, row: Row, column: str) -> Party:
        """Return the party of that code, whatever it is to the brewery."""
        return self._find(row, column, "party", _party)

    def lot(self, row: Row, column: str) -> Lot:
        """Return the lot of that code, with its material."""
        return self._find(row, column, "lot", _any_lot if self.handed_over_before else _lot)

    def brew(self, row: Row, column: str) -> Brew:
        """Return the brew of that code."""
        return self._find(row, column, "brew", _brew)

    def run(self, row: Row, column: str) -> PackagingRun:
        """Return the packaging run of that code."""
        return self._find(row, column, "packaging run", _run)

    def sheet(self, row: Row, column: str, beer: Material) -> BrewSheet:
        """Return that version of the beer's brew sheet."""
        version = row[column]
        return self._find(row, column, f"version of the sheet of {beer} numbered", lambda _: _sheet(beer, version))

    def order_line(self, row: Row, column: str, material: Material) -> OrderLine:
        """Return the line of that order that asks for the material."""
        order = row[column]
        return self._find(row, column, f"{material} in an order", lambda _: _order_line(order, material))

    def contract(self, row: Row, column: str) -> SupplyContract:
        """Return the contract of supply of that number."""
        return self._find(row, column, "contract", _contract)

    def customer_order(self, row: Row, column: str, customer: Party) -> CustomerOrder:
        """Return the order of that number, which the customer placed."""
        order = self._find(row, column, "order of a customer", _customer_order)
        if order.customer_id != customer.pk:
            raise Misfit(row.line, column, f"{order} is an order of {order.customer}, not of {customer}.")
        return order

    def customer_return(self, row: Row, column: str) -> CustomerReturn:
        """Return what another record of customer_returns.csv became."""
        return CustomerReturn.objects.get(event=_made_by(KINDS["customer_returns"], row, column))

    def retained_sample(self, row: Row, column: str) -> RetainedSample:
        """Return the sample that another record of retained_samples.csv became."""
        made = _made_by(KINDS["retained_samples"], row, column)
        return RetainedSample.objects.select_related("lot__material", "location").get(pk=made)

    def log_entry(self, row: Row, column: str) -> LogEntry:
        """Return the line of a log that another record of the file became."""
        return LogEntry.objects.select_related("brew").get(pk=_made_by(KINDS["brew_log"], row, column))

    def tank_reading(self, row: Row, column: str) -> TankReading:
        """Return the reading of the same tank and property that another record of the file holds."""
        first = TankReading.objects.get(pk=_made_by(KINDS["tank_readings"], row, column))
        vessel = self.location(row, "vessel")
        found = TankReading.objects.filter(request=first.request_id, vessel=vessel, property=row["property"]).first()
        if found is None:
            raise Misfit(row.line, column, f"Record {row[column]!r} says nothing of the {row['property']} of {vessel}.")
        return found

    def certificate(self, row: Row, column: str) -> Certificate:
        """Return the certificate that another record of the file became."""
        return Certificate.objects.get(pk=_made_by(KINDS["certificates"], row, column))

    def work(self, row: Row, column: str) -> Work:
        """Return the brew or packaging run of that code."""
        return cast(Work, self._find(row, column, "brew or packaging run", _work))

    def event(self, row: Row, file_column: str, column: str) -> Event:
        """Return the event that another file's record became."""
        kind = KINDS[row[file_column].removesuffix(".csv")]
        return Event.objects.get(pk=_made_by(kind, row, column))

    def _find(self, row: Row, column: str, thing: str, look: Callable[[str], Found | None]) -> Found:
        code = row[column]
        key = (f"{thing} {look.__qualname__}", code)
        found = cast(Found | None, self._found.get(key)) or look(code)
        if found is None:
            raise Misfit(row.line, column, f"There is no {thing} {code!r} by then.", str(code))
        self._found[key] = found
        return found


def _made_by(kind: Kind, row: Row, column: str) -> int:
    """Return the key of what another record became. Raises Misfit where there is no such record by then."""
    request = Request.objects.filter(pk=request_id_of(kind, row[column])).first()
    if request is None:
        raise Misfit(row.line, column, f"No record {row[column]!r} of {kind.file} is known by then.", row[column])
    return cast(int, request.result_id)


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


def _sheet(beer: Material, version: int) -> BrewSheet | None:
    return BrewSheet.objects.filter(beer=beer, version=version).select_related("beer", "written_by").first()


def _order_line(order: str, material: Material) -> OrderLine | None:
    lines = OrderLine.objects.filter(order__number=order, material=material)
    return lines.select_related("order__supplier", "material").order_by("position").first()


def _contract(number: str) -> SupplyContract | None:
    return SupplyContract.objects.filter(number=number).first()


def _customer_order(number: str) -> CustomerOrder | None:
    return CustomerOrder.objects.filter(number=number).select_related("customer").first()


def _work(code: str) -> models.Model | None:
    return _brew(code) or _run(code)


def parts_of(row: Row, column: str, of_one: int) -> int:
    """Return a figure in whole parts, of which `of_one` make one. Raises Misfit where it says more than is kept."""
    parts: Decimal = row[column] * of_one
    if parts % 1:
        raise Misfit(row.line, column, f"{row[column]} has more decimals than are kept.")
    return int(parts)


def parts_if_given(row: Row, column: str, of_one: int) -> int | None:
    """Return a figure in whole parts, or None where none was given. Raises Misfit."""
    return None if row[column] is None else parts_of(row, column, of_one)


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
