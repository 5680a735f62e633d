"""The report of a recall on paper: for people outside, who know neither the brewery nor its records."""

import re
from pathlib import Path
from typing import Any

from django.conf import settings

from brewery.kernel.clock import on_the_wall
from brewery.kernel.documents import compiled
from brewery.kernel.models import SealedRequest
from brewery.kernel.queries.seals import last_seal, unsealed
from brewery.kernel.templatetags.shell import exact_quantity
from inventory.models import Lot
from traceability.printing.trace_drawing import drawn_in_brief, drawn_on_paper
from traceability.queries.graph import Direction
from traceability.queries.recall_timeline import name_of, timeline_of
from traceability.queries.recalls import AffectedCustomer, AffectedLot, CustomerLot, RecallView, window_in_words
from traceability.queries.tracing import Tracing, trace_all
from traceability.services.recall_tables import contact_in_words

TEMPLATE = Path(__file__).with_name("recall_report.typ")

CAUTION = (
    "This report is no legal notice and no decision. Whether, whom, how and by when to notify is decided by the "
    "authorities and a licensed adviser under the law of the place; the class of the hazard is what people at the "
    "brewery judged."
)
DRILL = "This is a drill. Nothing was recalled, and nothing was held."
PARTS = (
    ("on_hand", "On hand"),
    ("in_tanks", "In tanks"),
    ("in_process", "In process"),
    ("in_transit", "In transit"),
    ("at_customers", "At customers"),
    ("destroyed", "Destroyed"),
    ("otherwise_gone", "Lost, sampled, sent back"),
    ("went_on", "In other lots"),
    ("unaccounted", "Unaccounted"),
)
"""Where the parts of a lot are, in the order in which they are told; they sum to what was made."""

NOTHING = "–"
"""So that what is there stands out."""

WIDEST_PX, HIGHEST_PX = 1750, 1000
"""A drawing larger than this cannot be read on a page of A4 that lies on its side: its type would be below 6 points."""


def report_as_pdf(view: RecallView) -> bytes:
    """Return the report as a PDF of A4 pages. The same view of the same record gives the same bytes."""
    (document,) = compiled(TEMPLATE, data_of(view))
    return document


def data_of(view: RecallView) -> dict[str, Any]:
    """Return all the words of the report, ready to be set."""
    recall = view.recall
    drawing, drawing_note = _drawing(view)
    return {
        "title": f"Report of {recall}",
        "brewery": settings.BREWERY_NAME,
        "as_of": f"As the record stood at {on_the_wall(view.as_of)} ({settings.BREWERY_TIME_ZONE})",
        "drill": DRILL if recall.is_mock else "",
        "caution": CAUTION,
        "facts": _facts(view),
        "marks": _marks(view),
        "subjects": [_subject(row.lot) for row in view.lots if row.is_subject],
        "reconciled": [_reconciled(view, one.unit) for one in view.reconciled],
        "gaps": _gaps(view),
        "open_points": _open_points(view),
        "timeline": [[on_the_wall(one.at), one.words, one.who] for one in timeline_of(recall)],
        "customers": [_customer(one) for one in view.customers],
        "parts": [label for _, label in PARTS],
        "lots": [_lot(row) for row in view.lots],
        "drawing": drawing,
        "drawing_note": drawing_note,
        "seal": seal_in_words(view),
        "boxes": ["Drawn up by", "Checked by quality", "Received by"],
    }


def _facts(view: RecallView) -> list[list[str]]:
    recall, judged = view.recall, view.recall.classes.last()
    closing = getattr(recall, "closing", None)
    end = f"{on_the_wall(closing.written_at)}, by {name_of(closing.actor)}" if closing else "still open"
    told = {
        "In earnest": "no: a mock recall, to try whether it can be done" if recall.is_mock else "yes",
        "Hazard": recall.hazard,
        "Class of the hazard": f"{judged}. Why: {judged.reason}" if judged else "nobody has decided it yet",
        "Opened": f"{on_the_wall(recall.written_at)}, by {name_of(recall.actor)}",
        "Closed": end,
        "Because": closing.reason if closing else "",
        "Time taken" if closing else "Open for": view.elapsed_words,
        "Followed": f"everything that came of the lots, by way of: {recall.kinds_in_words}",
        "Of what was made": window_in_words(recall),
        "Affected": _affected(view),
    }
    return [[label, words] for label, words in told.items() if words]


def _affected(view: RecallView) -> str:
    reached = sum(one.is_reached for one in view.customers)
    lots, customers = len(view.lots), len(view.customers)
    return f"lots: {lots}; customers that got some: {customers}, of whom {reached} were reached"


def _marks(view: RecallView) -> list[list[str]]:
    """Return each mark of the clock, when it was or is, and whether it was kept."""
    is_closed = hasattr(view.recall, "closing")
    in_time = "kept" if is_closed else "not passed yet"
    return [[words, on_the_wall(at), "passed" if is_over else in_time] for words, at, is_over in view.marks]


def _subject(lot: Lot) -> list[str]:
    supplier = f"{lot.supplier}, lot {lot.supplier_lot or 'not told'}" if lot.supplier else settings.BREWERY_NAME
    return [lot.code, lot.material.name, supplier, on_the_wall(lot.made_at), str(lot.best_before or "")]


def _reconciled(view: RecallView, unit: str) -> list[str]:
    """Return a column of the mass balance: unit, made, each part, accounted, per cent."""
    rows = [row for row in view.lots if row.lot.material.base_unit == unit]
    (one,) = (one for one in view.reconciled if one.unit == unit)
    parts = [sum(getattr(row, f"{part}_micro") for row in rows) for part, _ in PARTS]
    amounts = (one.made_micro, *parts, one.accounted_micro)
    return [unit, *(exact_quantity(micro, unit) for micro in amounts), f"{one.percent_shown} %"]


def _gaps(view: RecallView) -> list[str]:
    """Return what is missing of which lot, in sentences."""
    return [
        f"Lot {row.lot}, {row.lot.material.name}: {exact_quantity(row.unaccounted_micro, row.lot.material.base_unit)} "
        "cannot be accounted for: a count did not find it."
        for row in view.lots
        if row.unaccounted_micro
    ]


def _open_points(view: RecallView) -> list[str]:
    closing = getattr(view.recall, "closing", None)
    return list(closing.open_points) if closing else view.open_points


def _customer(one: AffectedCustomer) -> dict[str, Any]:
    return {
        "name": f"{one.customer.name} ({one.customer.code})",
        "state": _state(one),
        "contacts": [contact_in_words(contact) for contact in one.contacts] or ["no contact is on record"],
        "lots": [_customer_lot(row) for row in one.lots],
    }


def _state(one: AffectedCustomer) -> str:
    if one.check is None:
        return "not asked yet"
    when = on_the_wall(one.check.written_at)
    if not one.check.is_reached:
        return f"tried, not reached: {when}"
    answered = "answered for all of it" if one.is_settled else "has not answered for all of it"
    return f"reached {when}, {one.check.spoke_with}: {answered}"


def _customer_lot(row: CustomerLot) -> list[str]:
    unit = row.lot.material.base_unit
    amounts = (row.shipped_micro, row.back_micro, row.there_micro, row.holds_micro, row.gone_micro, row.open_micro)
    told = (exact_quantity(micro, unit) if micro else NOTHING for micro in amounts)
    return [row.lot.code, row.lot.material.name, *told]


def _lot(row: AffectedLot) -> list[str]:
    unit = row.lot.material.base_unit
    amounts = (row.made_micro, *(getattr(row, f"{part}_micro") for part, _ in PARTS), row.back_micro)
    mark = "*" if row.is_subject else ""
    return [row.lot.code + mark, row.lot.material.name, unit, *(_bare(micro, unit) for micro in amounts)]


def _bare(micro: int, unit: str) -> str:
    """Return a quantity without its unit."""
    return exact_quantity(micro, unit).removesuffix(unit).strip() if micro else NOTHING


def _drawing(view: RecallView) -> tuple[str, str]:
    """Return the trace both ways as SVG, and what it leaves out."""
    found = _traced(view)
    whole = drawn_on_paper(found)
    width, height = (float(size) for size in re.findall(r' (?:width|height)="([\d.]+)"', whole)[:2])
    if width <= WIDEST_PX and height <= HIGHEST_PX:
        return whole, ""
    drawing, left_out = drawn_in_brief(found)
    links = len(found.steps)
    return drawing, (
        f"Folded to fit the page: a box stands for all lots of one product, and {left_out} of {links} links are not "
        "drawn: those within a stage, as from tank to tank, and those back to an earlier stage, as of yeast that is "
        "harvested and pitched again. All of them count in the figures and stand in the tables of events."
    )


def _traced(view: RecallView) -> Tracing:
    """Return what went into the subjects and, as far as it is affected, what came of them."""
    affected = {row.lot.pk for row in view.lots}
    starts = {row.lot.pk: row.made_micro for row in view.lots if row.is_subject}
    found = trace_all(starts, tuple(Direction), view.recall.kinds)
    rows = [row for row in found.rows if row.way == Direction.BACK or row.lot.pk in affected]
    return Tracing(rows, found.steps, found.totals)


def seal_in_words(view: RecallView) -> list[str]:
    """Return up to where the record is sealed, by which a change of it made afterwards can be found."""
    seal, waiting = last_seal(), unsealed().count()
    if seal is None:
        return [f"The record bears no seal yet; {waiting} writings wait for one."]
    own = SealedRequest.objects.filter(request=view.recall.request_id).values_list("seal", flat=True).first()
    return [
        f"Seal number {seal.pk} of {on_the_wall(seal.sealed_at)}, SHA-256 of what was written and the seal before:",
        seal.digest,
        f"It seals what was written up to {on_the_wall(seal.read_at)}. Written since and not sealed yet: {waiting}.",
        f"The opening of this recall is under seal {own}." if own else "The opening of this recall is not sealed yet.",
        "Whoever keeps this page can have the record checked against it: a change of what was sealed shows.",
    ]
