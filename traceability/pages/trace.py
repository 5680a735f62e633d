"""The trace page: from whatever somebody scans or types, both ways or one; drawn, as text, as a table, as files."""

from abc import ABC, abstractmethod
from dataclasses import dataclass, field
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
from traceability.pages.trace_form import TraceAsked, TraceNarrowed
from traceability.printing.trace_drawing import drawn_links, drawn_nodes, drawn_on_paper
from traceability.queries.tracing import SORTS, Traced, Tracing, in_order, narrowed, totals_of
from traceability.services.traces import BOTH, Answer, answer_to

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
    """What was asked for, with its answer."""

    form: TraceAsked
    narrowing: TraceNarrowed
    answer: Answer = field(default_factory=Answer)

    @cached_property
    def rows(self) -> list[Traced]:
        """The rows of the table, narrowed and in order."""
        if self.answer.found is None:
            return []
        rows = narrowed(self.answer.found.rows, self.narrowing.narrowed)
        return in_order(rows, self.narrowing.cleaned_data.get("sort") or "made")


def asked_by(query: QueryDict) -> Asked:
    """Return what the address asks for, with its answer; an empty one where it cannot be asked so."""
    form, narrowing = TraceAsked(query if "q" in query else None), TraceNarrowed(query)
    if not narrowing.is_valid() or not form.is_bound or not form.is_valid():
        return Asked(form, narrowing)
    told = form.cleaned_data
    at = aware(told["at"]) if told["at"] else None
    answer = answer_to(told["q"], at=at, way=told["way"] or BOTH, kinds=narrowing.kinds, as_of=narrowing.moment)
    return Asked(form, narrowing, answer)


class TracePage(Page):
    """One search field; then a choice where it can mean several things; then the answer, three times over."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "traceability/trace.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        query = self.request.GET
        asked = asked_by(query)
        context: dict[str, Any] = {
            "asked": asked,
            "choices": [(start.words, _with(query, q=start.named)) for start in asked.answer.choices],
        }
        if asked.answer.found:
            context |= {
                "drawing": drawing_of(asked.answer.found, asked.rows, query),
                "outline": outline(drawn_nodes(asked.answer.found), drawn_links(asked.answer.found)),
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


def drawing_of(found: Tracing, listed: list[Traced], query: QueryDict) -> SafeString:
    """Return the drawing for the page, what is not listed faintly; each fold is a link that opens it."""

    def way_to_open(node: int) -> str:
        asked = query.copy()
        asked.appendlist("open", str(node))
        return f"?{asked.urlencode()}#drawn"

    drawing = draw(drawn_nodes(found, listed), drawn_links(found), opened=_opened(query), way_to_open=way_to_open)
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


class TraceFile(Page, ABC):
    """The same answer as a file; 400 with the sentence where the address asks for none."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    name: ClassVar[str]
    kind: ClassVar[str]

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        asked = asked_by(request.GET)
        if asked.answer.found is None:
            fault = asked.answer.fault or "Say what to trace, so that it means one thing."
            return HttpResponseBadRequest(fault, content_type="text/plain; charset=utf-8")
        answer = HttpResponse(self.content(asked, asked.answer.found), content_type=self.kind)
        answer["Content-Disposition"] = f'attachment; filename="{self.name}"'
        answer["X-Content-Type-Options"] = "nosniff"
        return answer

    @abstractmethod
    def content(self, asked: Asked, found: Tracing) -> str:
        """Return what the file holds."""


class TraceDrawing(TraceFile):
    """The drawing as a file of its own, its rules and legend inside."""

    name = "trace.svg"
    kind = "image/svg+xml"

    def content(self, asked: Asked, found: Tracing) -> str:
        """Return the drawing."""
        return drawn_on_paper(found, asked.rows, _opened(self.request.GET))


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
