"""A recall as files: tables of what is affected and of whom to ring, and a summary in words and for programs."""

from typing import Any

from brewery.kernel.clock import on_the_wall
from brewery.science.units import format_micro
from traceability.queries.recalls import CAUTION, AffectedLot, RecallView

PARTS = (
    "made",
    "on_hand",
    "in_transit",
    "in_process",
    "in_tanks",
    "in_laboratory",
    "at_customers",
    "destroyed",
    "lost",
    "sent_back",
    "went_on",
    "unaccounted",
    "back",
)
AFFECTED = ("lot", "material", "unit", "is_subject", *PARTS)
CUSTOMERS = ("customer", "name", "lot", "unit", "shipped", "back", "there", "contact", "role", "phone", "email")


def affected_rows(view: RecallView) -> list[tuple[str, ...]]:
    """Return the affected lots, one a row, as `AFFECTED` names the columns."""
    return [
        (
            row.lot.code,
            row.lot.material.code,
            row.lot.material.base_unit,
            "yes" if row.is_subject else "no",
            *(_plain(row, part) for part in PARTS),
        )
        for row in view.lots
    ]


def _plain(row: AffectedLot, part: str) -> str:
    return format_micro(getattr(row, f"{part}_micro"), row.lot.material.base_unit)


def customer_rows(view: RecallView) -> list[tuple[str, ...]]:
    """Return each lot at each customer with each contact, one a row, as `CUSTOMERS` names the columns."""
    rows = []
    for one in view.customers:
        contacts = [(c.name, c.role, c.phone, c.email) for c in one.contacts] or [("", "", "", "")]
        for lot in one.lots:
            unit = lot.lot.material.base_unit
            amounts = [format_micro(micro, unit) for micro in (lot.shipped_micro, lot.back_micro, lot.there_micro)]
            head = (one.customer.code, one.customer.name, lot.lot.code, unit, *amounts)
            rows += [(*head, *contact) for contact in contacts]
    return rows


def summary_as_data(view: RecallView) -> dict[str, Any]:
    """Return the summary as JSON holds it."""
    return {
        "recall": view.recall.pk,
        "is_mock": view.recall.is_mock,
        "hazard": view.recall.hazard,
        "opened_at": view.recall.written_at.isoformat(),
        "as_of": view.as_of.isoformat(),
        "seconds_taken": round(view.elapsed.total_seconds(), 3),
        "subjects": [row.lot.code for row in view.lots if row.is_subject],
        "follow": view.recall.kinds_in_words.split(", "),
        "lots": len(view.lots),
        "customers": [one.customer.code for one in view.customers],
        "reconciled": [
            {
                "unit": one.unit,
                "made": format_micro(one.made_micro, one.unit),
                "accounted": format_micro(one.accounted_micro, one.unit),
                "percent": one.percent_shown,
            }
            for one in view.reconciled
        ],
        "open_points": view.open_points,
    }


def summary_lines(view: RecallView) -> list[str]:
    """Return the summary as text."""
    told = summary_as_data(view)
    lines = [
        f"{str(view.recall).capitalize()}, opened {on_the_wall(view.recall.written_at)}: {view.recall.hazard}",
        f"From {', '.join(told['subjects'])} over {view.recall.kinds_in_words} links.",
        f"{told['lots']} lots and {len(view.customers)} customers are affected; traced in {told['seconds_taken']} s.",
        "",
        "Accounted for:",
    ]
    for one in told["reconciled"]:
        lines.append(f"  {one['percent']} %: {one['accounted']} of {one['made']} {one['unit']}")
    lines += ["", "Still open:", *(f"  {point}" for point in told["open_points"] or ["nothing"]), "", CAUTION]
    return lines
