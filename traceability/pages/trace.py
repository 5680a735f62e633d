"""The trace page: from whatever somebody scans or types, both ways or one; drawn, as text, as a table, as files."""

from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cached_property
from typing import Any, ClassVar

from django.http import HttpRequest, HttpResponse, HttpResponseBadRequest, QueryDict
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from brewery.kernel.access import Right
from brewery.kernel.clock import aware
from brewery.kernel.pages.access import Page
from brewery.kernel.services.spreadsheets import Amount, Table, csv_lines
from traceability.drawing import draw, outline
from traceability.pages.trace_drawing import drawn_links, drawn_nodes
from traceability.pages.trace_form import TraceAsked, TraceNarrowed
from traceability.queries.graph import Direction
from traceability.queries.starts import Sort, Start, lots_of_start
from traceability.queries.tracing import SORTS, Traced, Tracing, in_order, narrowed, totals_of, trace_all
from traceability.services.starts import understood

HEADINGS = {
    "lot": "Lot",
    "material": "Material",
    "made": "Made or received",
    "quantity": "Quantity",
    "share": "Share",
    "where": "Where now",
    "disposition": "Disposition",
    "customer": "Customer",
}
WAYS_SHOWN = {"start": "asked for", "back": "went into it", "forward": "made of it"}
CSV = "text/csv; charset=utf-8; header=present"


@dataclass(frozen=True)
class Asked:
    """What was asked for and found: choices to pick from, or a sentence why there is nothing, or the trace."""

    form: TraceAsked
    narrowing: TraceNarrowed
    start: Start | None = None
    at: datetime | None = None
    choices: list[Start] = field(default_factory=list)
    fault: str = ""
    found: Tracing | None = None

    @cached_property
    def rows(self) -> list[Traced]:
        """The rows of the table, narrowed and in order."""
        if self.found is None:
            return []
        rows = narrowed(self.found.rows, self.narrowing.narrowed)
        return in_order(rows, self.narrowing.cleaned_data.get("sort") or "made")


def asked_by(query: QueryDict) -> Asked:
    """Return what the address asks for, with its answer."""
    form, narrowing = TraceAsked(query if "q" in query else None), TraceNarrowed(query)
    asked = Asked(form, narrowing)
    if not narrowing.is_valid() or not form.is_bound or not form.is_valid():
        return asked
    text = form.cleaned_data["q"]
    meant = understood(text)
    typed: datetime | None = form.cleaned_data["at"]
    asked = replace(asked, at=aware(typed) if typed else meant.at)
    if len(meant.starts) > 1:
        return replace(asked, choices=meant.starts)
    if not meant.starts:
        nothing = f"Nothing on record is called “{text}”: type a code, a number or a name, or scan the label."
        return replace(asked, fault=meant.refusal or nothing)
    return _answered(replace(asked, start=meant.starts[0]), meant.starts[0])


def _answered(asked: Asked, start: Start) -> Asked:
    lots = lots_of_start(start, asked.at)
    if not lots:
        when = "then" if asked.at else "now: say when, as in “FV3 12 May 14:00”"
        words = f"nothing lay there {when}." if start.sort is Sort.PLACE else "there is no lot of it."
        return replace(asked, fault=f"{start.words}: {words}")
    way = asked.form.cleaned_data["way"]
    ways = [Direction(way)] if way in list(Direction) else list(Direction)
    return replace(asked, found=trace_all(lots, ways, asked.narrowing.kinds, asked.narrowing.moment))


class TracePage(Page):
    """One search field; then a choice where it can mean several things; then the answer, three times over."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "traceability/trace.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        query = self.request.GET
        asked = asked_by(query)
        context: dict[str, Any] = {
            "asked": asked,
            "choices": [(start.words, _with(query, q=start.named)) for start in asked.choices],
        }
        if asked.found:
            context |= {
                "drawing": drawing_of(asked.found, query),
                "outline": outline(drawn_nodes(asked.found), drawn_links(asked.found)),
                "headings": _headings(query),
                "rows": [(row, WAYS_SHOWN[row.way], _percent(row)) for row in asked.rows],
                "totals": totals_of(asked.rows),
                "svg_url": f"{reverse('trace-drawing')}{_with(query)}",
                "csv_url": f"{reverse('trace-table')}{_with(query)}",
                "whole_url": _with(query, open=None) if "open" in query else "",
            }
        return super().get_context_data(**context, **kwargs)


def _with(query: QueryDict, **changed: str | None) -> str:
    """Return the query with some of it changed, or taken out where it is None."""
    asked = query.copy()
    for name, value in changed.items():
        asked.pop(name, None)
        if value is not None:
            asked[name] = value
    return f"?{asked.urlencode()}"


def _opened(query: QueryDict) -> list[int]:
    return [int(text) for text in query.getlist("open") if text.removeprefix("-").isdecimal()]


def drawing_of(found: Tracing, query: QueryDict) -> SafeString:
    """Return the drawing for the page; each fold is a link that opens it."""

    def way_to_open(node: int) -> str:
        asked = query.copy()
        asked.appendlist("open", str(node))
        return f"?{asked.urlencode()}#drawn"

    drawing = draw(drawn_nodes(found), drawn_links(found), opened=_opened(query), way_to_open=way_to_open)
    # The drawing escapes every text that it is given.
    return mark_safe(drawing)  # noqa: S308


def _headings(query: QueryDict) -> list[dict[str, Any]]:
    """Return the headings of the table, each with the address that sorts by it, or turns the order round."""
    sort = query.get("sort") or "made"
    return [
        {
            "label": label,
            "href": _with(query, sort=f"-{name}" if sort == name else name) + "#table",
            "order": "ascending" if sort == name else "descending" if sort == f"-{name}" else "",
            "is_number": name in ("quantity", "share"),
        }
        for name, label in HEADINGS.items()
        if name in SORTS
    ]


def _percent(row: Traced) -> float | None:
    return None if row.share is None else 100 * row.share


class TraceFile(Page):
    """The same answer as a file; 400 with the sentence where the address asks for none."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    name: ClassVar[str]
    kind: ClassVar[str]

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        asked = asked_by(request.GET)
        if asked.found is None:
            fault = asked.fault or "Say what to trace, so that it means one thing."
            return HttpResponseBadRequest(fault, content_type="text/plain; charset=utf-8")
        answer = HttpResponse(self.content(asked, asked.found), content_type=self.kind)
        answer["Content-Disposition"] = f'attachment; filename="{self.name}"'
        answer["X-Content-Type-Options"] = "nosniff"
        return answer

    def content(self, asked: Asked, found: Tracing) -> str:
        """Return what the file holds."""
        raise NotImplementedError


class TraceDrawing(TraceFile):
    """The drawing as a file of its own, its rules and legend inside."""

    name = "trace.svg"
    kind = "image/svg+xml"

    def content(self, asked: Asked, found: Tracing) -> str:
        """Return the drawing; a file lies anywhere, so it leads nowhere."""
        nodes = [replace(node, href=None) for node in drawn_nodes(found)]
        return draw(nodes, drawn_links(found), standalone=True, opened=_opened(self.request.GET))


class TraceTable(TraceFile):
    """The table as CSV, narrowed and sorted as on the page."""

    name = "trace.csv"
    kind = CSV

    def content(self, asked: Asked, found: Tracing) -> str:
        """Return the lines."""
        header = ("way", *(label.lower() for label in HEADINGS.values()), "unit")
        return "".join(csv_lines(Table("Trace", header, [_cells(row) for row in asked.rows])))


def _cells(row: Traced) -> tuple[Any, ...]:
    lot, unit = row.lot, row.lot.material.base_unit
    where = "; ".join(f"{place.location.name}: {Amount(place.quantity_micro, unit)} {unit}" for place in row.places)
    return (
        row.way,
        lot.code,
        lot.material.name,
        lot.made_at.date(),
        Amount(lot.total_micro, unit),
        "" if row.share is None else f"{row.share:.9f}",
        where,
        lot.get_disposition_display(),
        "; ".join(row.customers),
        unit,
    )
