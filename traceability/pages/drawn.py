"""A trace as the page shows it: drawn, as text, and as a table, all three from one report."""

from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from brewery.kernel.templatetags.shell import quantity
from inventory.models import Link, Lot
from traceability.drawing import DrawnLink, DrawnNode, draw, outline
from traceability.printing.trace_drawing import detail_of, node_of
from traceability.queries.graph import Direction, Step
from traceability.queries.report import Place, Report, Row


@dataclass(frozen=True)
class ShownRow:
    """One lot of the table."""

    lot: Lot
    kinds: str
    amount_micro: float
    amount_unit: str
    part_percent: float
    places: list[Place]


@dataclass(frozen=True)
class ShownTrace:
    """One direction of a trace."""

    key: str
    heading: str
    empty: str
    amount_heading: str
    shows_suppliers: bool
    drawing: SafeString
    outline: str
    rows: list[ShownRow]


_WORDS = {
    Direction.BACK: ("Where it came from", "Nothing on record went into it.", "In it"),
    Direction.FORWARD: ("Where it went", "Nothing was made of it.", "Of it"),
}


def drawn_trace(report: Report) -> ShownTrace:
    """Return the report as the page shows it."""
    way = report.trace.direction
    heading, empty, amount_heading = _WORDS[way]
    nodes, links = _nodes(report), _links(report)
    return ShownTrace(
        key=way.value,
        heading=heading,
        empty=empty,
        amount_heading=amount_heading,
        shows_suppliers=way is Direction.BACK,
        # The drawing escapes every text that it is given.
        drawing=mark_safe(draw(nodes, links)),  # noqa: S308
        outline=outline(nodes, links),
        rows=[_shown(row) for row in report.rows],
    )


def _shown(row: Row) -> ShownRow:
    return ShownRow(
        row.lot,
        ", ".join(row.kinds),
        row.amount_micro,
        row.amount_unit,
        100 * row.share,
        row.places,
    )


def _nodes(report: Report) -> list[DrawnNode]:
    subject = report.subject
    whole = quantity(report.trace.subject_micro, subject.material.base_unit)
    nodes = [node_of(subject, detail_of(whole, report.subject_places), is_subject=True)]
    nodes += [
        node_of(row.lot, detail_of(quantity(row.amount_micro, row.amount_unit), row.places)) for row in report.rows
    ]
    return nodes


def _links(report: Report) -> list[DrawnLink]:
    lots = {report.subject.pk: report.subject, **{row.lot.pk: row.lot for row in report.rows}}
    return [
        DrawnLink(
            step.parent,
            step.child,
            Link.Kind(step.kind).label,
            quantity(step.quantity_micro, lots[step.parent].material.base_unit),
            _weight(report, step),
        )
        for step in report.trace.steps
    ]


def _weight(report: Report, step: Step) -> float:
    """Return which part of the parent went along this link, for the width of its line."""
    return min(1.0, step.quantity_micro / report.trace.totals[step.parent])
