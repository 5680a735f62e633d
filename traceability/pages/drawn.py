"""A trace as the page shows it: drawn, as text, and as a table, all three from one report."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from brewery.kernel.templatetags.shell import quantity
from inventory.models import Link, Location, Lot, Material
from traceability.drawing import DrawnLink, DrawnNode, Stage, draw, outline
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

_STAGES = {
    Material.Kind.WORT: Stage.WORT,
    Material.Kind.BEER: Stage.BEER,
    Material.Kind.PACKAGED: Stage.PACKAGED,
}

_LIES_AT = (*Location.STOCK, *Location.TANKS, Location.Kind.PROCESS, Location.Kind.CUSTOMER)


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


def detail_of(amount: str, places: Sequence[Place]) -> str:
    """Return how much of it the trace found and, as far as one line holds it, where the lot lies; not what was lost."""
    lies_at = [place.location for place in places if place.location.kind in _LIES_AT]
    if not lies_at:
        return amount
    return f"{amount} · at {lies_at[0].name if len(lies_at) == 1 else f'{len(lies_at)} places'}"


def node_of(lot: Lot, detail: str, *, is_subject: bool = False, vessel: str | None = None) -> DrawnNode:
    """Return the box of a lot; `vessel` where it was made in a tank."""
    released = lot.disposition == lot.material.arrives or lot.disposition == "released"
    return DrawnNode(
        id=lot.pk,
        code=lot.code,
        title=lot.material.name,
        detail=detail,
        stage=_STAGES.get(Material.Kind(lot.material.kind), Stage.RAW),
        href=reverse("lot", args=[lot.pk]),
        is_subject=is_subject,
        group=None if is_subject else lot.material.code,
        flag=None if released else lot.get_disposition_display(),
        vessel=vessel,
    )


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
