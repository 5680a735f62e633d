"""A trace from several lots as boxes and lines: suppliers, lots, customers."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from django.urls import reverse

from brewery.kernel.templatetags.shell import quantity
from inventory.models import Link, Location, Lot, Material, Party
from traceability.drawing import DrawnLink, DrawnNode, LinkKind, Stage, draw
from traceability.drawing.brief import in_brief
from traceability.queries.report import Place
from traceability.queries.tracing import START, Traced, Tracing, tanks_made_in

OUTSIDE = -1
"""Parties are drawn under their ids below nothing, which no lot has."""

_STAGES = {
    Material.Kind.WORT: Stage.WORT,
    Material.Kind.BEER: Stage.BEER,
    Material.Kind.PACKAGED: Stage.PACKAGED,
}

_LIES_AT = (*Location.STOCK, *Location.TANKS, Location.Kind.PROCESS, Location.Kind.CUSTOMER)


def drawn_on_paper(found: Tracing, listed: Iterable[Traced] | None = None, opened: Collection[int] = ()) -> str:
    """Return the drawing as SVG of its own, rules and legend inside; a file lies anywhere, so it leads nowhere.

    What is not `listed` is faint. What would be too much is folded, but for the folds that `opened` names.
    """
    nodes = [replace(node, href=None) for node in drawn_nodes(found, listed)]
    return draw(nodes, drawn_links(found), standalone=True, opened=opened)


def drawn_in_brief(found: Tracing) -> tuple[str, int]:
    """Return the drawing with one box a product and stage, and how many links it leaves out; for a page of paper."""
    brief = in_brief([replace(node, href=None, vessel=None) for node in drawn_nodes(found)], drawn_links(found))
    return draw(brief.nodes, brief.links, standalone=True), brief.left_out


def drawn_nodes(found: Tracing, listed: Iterable[Traced] | None = None) -> list[DrawnNode]:
    """Return the boxes: each lot once, the suppliers of raw lots, the customers that hold some.

    With `listed`, what is not among these rows nor touches one of them as a party is faint, and stays where it is.
    """
    tanks = tanks_made_in(row.lot.pk for row in found.rows)
    lots = {row.lot.pk: _lot(row, tanks.get(row.lot.pk)) for row in found.rows}
    nodes = [*lots.values(), *_parties(found.rows)]
    if listed is None:
        return nodes
    wanted = list(listed)
    clear = {row.lot.pk for row in wanted} | {node.id for node in _parties(wanted)}
    return [replace(node, is_faded=node.id not in clear) for node in nodes]


def drawn_links(found: Tracing) -> list[DrawnLink]:
    """Return the lines: what went into what, and what came from or went to whom."""
    lots = {row.lot.pk: row.lot for row in found.rows}
    links = [
        DrawnLink(
            step.parent,
            step.child,
            Link.Kind(step.kind).label,
            quantity(step.quantity_micro, lots[step.parent].material.base_unit),
            _part(step.quantity_micro, found.totals.get(step.parent, 0)),
        )
        for step in found.steps
        if step.parent in lots and step.child in lots
    ]
    return [*links, *_deliveries(found.rows)]


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


def _lot(row: Traced, tank: str | None) -> DrawnNode:
    told = row.lot.total_micro if row.amount_micro is None else row.amount_micro
    unit = row.amount_unit or row.lot.material.base_unit
    return node_of(row.lot, detail_of(quantity(told, unit), row.places), is_subject=row.way == START, vessel=tank)


def _parties(rows: Iterable[Traced]) -> list[DrawnNode]:
    suppliers = {row.lot.supplier for row in rows if row.lot.supplier}
    customers = {party for row in rows for party, _ in _held_by(row)}
    nodes = [_party(party, Stage.SUPPLIER) for party in suppliers]
    return nodes + [_party(party, Stage.CUSTOMER) for party in customers - suppliers]


def _party(party: Party, stage: Stage) -> DrawnNode:
    return DrawnNode(OUTSIDE * party.pk, party.code, party.name, "", stage, group=f"every {stage.value}")


def _held_by(row: Traced) -> list[tuple[Party, int]]:
    places = (place for place in row.places if place.location.kind == Location.Kind.CUSTOMER)
    return [(place.location.party, place.quantity_micro) for place in places if place.location.party]


def _deliveries(rows: Iterable[Traced]) -> list[DrawnLink]:
    each = {row.lot.pk: row for row in rows}.values()
    came = [_came(row.lot, row.lot.supplier) for row in each if row.lot.supplier]
    went = [
        DrawnLink(
            row.lot.pk,
            OUTSIDE * party.pk,
            LinkKind.DELIVERED,
            quantity(micro, row.lot.material.base_unit),
            _part(micro, row.lot.total_micro),
        )
        for row in each
        for party, micro in _held_by(row)
    ]
    return came + went


def _came(lot: Lot, supplier: Party) -> DrawnLink:
    words = quantity(lot.made_micro, lot.material.base_unit)
    return DrawnLink(OUTSIDE * supplier.pk, lot.pk, LinkKind.DELIVERED, words, 0.25)


def _part(micro: int, whole: int) -> float:
    """Return which part of the parent went along a line, for its width."""
    return min(1.0, micro / whole) if whole else 0.0
