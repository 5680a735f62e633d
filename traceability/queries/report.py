"""What a trace says to people and programs: lots by code, quantities in their units, places by name.

Every door shows this one answer: the page, the API, the command.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from brewery.science.units import format_micro
from inventory.models import Link, Location, Lot
from traceability.queries.graph import Direction, Lying
from traceability.queries.mass_balance import MassBalance
from traceability.queries.trace import Trace


@dataclass(frozen=True)
class Place:
    """A quantity of a lot at a location."""

    location: Location
    quantity_micro: int


@dataclass(frozen=True)
class Row:
    """One lot that a trace reached.

    `amount_micro` is in micro-units of `amount_unit`: for a trace back how much of this lot is in the subject, for a
    trace forward how much of the subject is in this lot. `share` is that amount's part of the lot it is measured in.
    """

    lot: Lot
    amount_micro: float
    amount_unit: str
    share: float
    kinds: list[str]
    places: list[Place]


@dataclass(frozen=True)
class Report:
    """One trace in words."""

    subject: Lot
    subject_places: list[Place]
    trace: Trace
    rows: list[Row]

    @property
    def origins(self) -> list[Row]:
        """The rows that came from outside: raw lots with a supplier."""
        return [row for row in self.rows if row.lot.supplier_id]


def report_on(answer: Trace) -> Report:
    """Return the trace with its lots and places, in order of time."""
    lots = Lot.objects.select_related("material", "supplier").in_bulk([answer.subject, *answer.reached])
    locations = Location.objects.select_related("party").in_bulk(
        {row.location for rows in answer.lying.values() for row in rows}
    )
    kinds = _kinds_of(answer)
    rows = [
        Row(
            lot=lots[key],
            amount_micro=answer.amounts[key],
            amount_unit=_unit_of_amounts(answer, lots, key),
            share=_share(answer, key),
            kinds=kinds[key],
            places=places_of(answer.lying.get(key, ()), locations),
        )
        for key in answer.reached
    ]
    subject = lots[answer.subject]
    return Report(subject, places_of(answer.lying.get(subject.pk, ()), locations), answer, rows)


def _kinds_of(answer: Trace) -> dict[int, list[str]]:
    """Return by which kinds of link each lot was reached, in words."""
    found: dict[int, set[int]] = {}
    for step in answer.steps:
        found.setdefault(step.parent if answer.direction is Direction.BACK else step.child, set()).add(step.kind)
    return {key: [Link.Kind(kind).label for kind in sorted(kinds)] for key, kinds in found.items()}


def _unit_of_amounts(answer: Trace, lots: dict[int, Lot], key: int) -> str:
    measured = key if answer.direction is Direction.BACK else answer.subject
    return lots[measured].material.base_unit


def _share(answer: Trace, key: int) -> float:
    """Return which part of an ancestor is in the subject, or which part of the subject is in a descendant."""
    whole = answer.totals[key] if answer.direction is Direction.BACK else answer.totals[answer.subject]
    return answer.amounts[key] / whole


def places_of(rows: Iterable[Lying], locations: Mapping[int, Location]) -> list[Place]:
    """Return the places in the order of their codes, whatever order the database told them in."""
    places = [Place(locations[row.location], row.quantity_micro) for row in rows]
    return sorted(places, key=lambda place: place.location.code)


def in_words(micro: float, unit: str) -> str:
    """Return an amount for people, to a micro-unit; what is there but less than one is never told as nothing."""
    if 0 < micro < 0.5:
        return f"< {format_micro(1, unit)} {unit}"
    return f"{format_micro(round(micro), unit)} {unit}"


def trace_as_data(report: Report) -> dict[str, object]:
    """Return the report as JSON holds it; quantities are decimal text with their unit."""
    answer = report.trace
    return {
        "lot": report.subject.code,
        "material": report.subject.material.code,
        "direction": answer.direction.value,
        "follow": [kind.label for kind in Link.Kind if kind in answer.kinds],
        "as_of": answer.as_of.isoformat() if answer.as_of else None,
        "quantity": quantity_as_data(answer.subject_micro, report.subject.material.base_unit),
        "where": [place_as_data(place, report.subject) for place in report.subject_places],
        "lots": [_row_as_data(row) for row in report.rows],
        "links": _links_as_data(report),
    }


def _row_as_data(row: Row) -> dict[str, object]:
    return {
        "lot": row.lot.code,
        "material": row.lot.material.code,
        "kind": row.lot.material.kind,
        "supplier": row.lot.supplier.code if row.lot.supplier else None,
        "supplier_lot": row.lot.supplier_lot,
        "disposition": row.lot.disposition,
        "reached_by": row.kinds,
        "amount": quantity_as_data(row.amount_micro, row.amount_unit),
        "share": row.share,
        "where": [place_as_data(place, row.lot) for place in row.places],
    }


def _links_as_data(report: Report) -> list[dict[str, object]]:
    lots = {report.subject.pk: report.subject, **{row.lot.pk: row.lot for row in report.rows}}
    return [
        {
            "parent": lots[step.parent].code,
            "child": lots[step.child].code,
            "kind": Link.Kind(step.kind).label,
            "went_across": quantity_as_data(step.quantity_micro, lots[step.parent].material.base_unit),
        }
        for step in sorted(report.trace.steps)
    ]


def place_as_data(place: Place, lot: Lot) -> dict[str, object]:
    """Return a place as JSON holds it, with the customer where it is one."""
    party = place.location.party
    return {
        "location": place.location.code,
        "kind": place.location.kind,
        "customer": party.code if party else None,
        **quantity_as_data(place.quantity_micro, lot.material.base_unit),
    }


def quantity_as_data(micro: float, unit: str) -> dict[str, str]:
    """Return a quantity as JSON holds it: decimal text, rounded to a micro-unit, and its unit."""
    return {"quantity": format_micro(round(micro), unit), "unit": unit}


def mass_balance_as_data(balance: MassBalance, lot: Lot) -> dict[str, object]:
    """Return a mass balance as JSON holds it."""
    unit = lot.material.base_unit
    return {
        "lot": lot.code,
        "material": lot.material.code,
        "as_of": balance.as_of.isoformat() if balance.as_of else None,
        "received": quantity_as_data(balance.received_micro, unit),
        "whereabouts": [
            {"where": where.value, **quantity_as_data(amount, unit)} for where, amount in balance.by_whereabouts.items()
        ],
        "accounted": quantity_as_data(balance.accounted_micro, unit),
        "difference": quantity_as_data(balance.difference_micro, unit),
        "ledger_difference": quantity_as_data(balance.ledger_difference_micro, unit),
        "closes": balance.closes,
    }
