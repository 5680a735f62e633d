"""A duty period on paper: its record and its worksheet, as they are known, or as they were kept when it was closed."""

from pathlib import Path
from typing import Any

from django.conf import settings

from brewery.kernel.clock import on_the_wall
from brewery.kernel.documents import compiled
from brewery.science.duty.known import SCHEMES
from brewery.science.duty.schemes import CAUTION
from inventory.queries.usage import Period
from traceability.models import DutyClosing
from traceability.queries.duty_containers import container_words
from traceability.queries.duty_periods import missing_for, record_under, standing_closing
from traceability.queries.duty_report import record_as_data
from traceability.queries.duty_worksheets import worksheet_as_data

TEMPLATE = Path(__file__).with_name("duty_sheet.typ")


def period_as_pdf(scheme: str, period: Period) -> bytes:
    """Return the period as a PDF of A4 pages; of a closed one, what was kept, always the same bytes."""
    (document,) = compiled(TEMPLATE, data_of(scheme, period))
    return document


def data_of(scheme: str, period: Period) -> dict[str, Any]:
    """Return all the words of the sheet, ready to be set."""
    closing = standing_closing(scheme, period)
    told = closing.record if closing else _as_known(scheme, period)
    work = told.get("worksheet") or {"sheet": None, "refused": "No worksheet was kept.", "rates": [], "doubts": []}
    return {
        "title": f"Duty worksheet {period}",
        "brewery": settings.BREWERY_NAME,
        "scheme": SCHEMES[scheme].name,
        "rounding": SCHEMES[scheme].rounding,
        "state": _state(closing),
        "caution": CAUTION,
        "rows": [_row(row) for row in told["rows"]],
        "unsettled": told["unsettled"],
        "refused": work["refused"],
        "doubts": work["doubts"],
        "rates": [_rate(rate) for rate in work["rates"]],
        "sheet": work["sheet"] and _sheet(work["sheet"]),
    }


def _as_known(scheme: str, period: Period) -> dict[str, Any]:
    return {
        **record_as_data(period, record_under(scheme, period)),
        "worksheet": worksheet_as_data(scheme, period),
        "unsettled": [one.words for one in missing_for(scheme, period)],
    }


def _state(closing: DutyClosing | None) -> str:
    if closing is None:
        return "Open: these figures may still change."
    done = f"Amended ({closing.reason})" if closing.amends_id else "Closed"
    seal = f", under seal {closing.seal.digest}" if closing.seal else ""
    return f"{done} {on_the_wall(closing.closed_at)} by {closing.actor.get_username()}. Digest {closing.digest}{seal}."


def _row(row: dict[str, Any]) -> list[str]:
    container = container_words(row.get("container", ""), row["container_l"]) or "in tanks"
    moved = "; ".join(f"{line['words']}: {line['litres']}" for line in row["lines"])
    late = "; ".join(f"{line['words']}: {line['litres']}" for line in row["late"])
    told = f"{moved}{'; late: ' if moved and late else 'late: ' if late else ''}{late}"
    return [row["name"], f"{row['strength']}, {container}", row["opening_l"], told, row["closing_l"]]


def _rate(rate: dict[str, Any]) -> list[str]:
    until = f" to {rate['valid_until']}" if rate["valid_until"] else " on"
    checked = f"checked {rate['checked_on']}" if rate["checked_on"] else "TO BE CHECKED"
    return [rate["key"], rate["value"] or "", rate["unit"], f"{rate['valid_from']}{until}", checked, rate["source"]]


def _sheet(sheet: dict[str, Any]) -> dict[str, Any]:
    keys = [column["key"] for column in sheet["columns"]]
    return {
        "columns": [column["label"] for column in sheet["columns"]],
        "lines": [
            [line["number"], f"{line['label']}{_noted(line)}", *(line["cells"].get(key, "") for key in keys)]
            for line in sheet["lines"]
        ],
        "checks": [f"{_agrees(check['agrees'])}: {check['words']}" for check in sheet["checks"]],
        "duty": sheet["duty"],
    }


def _agrees(agrees: bool) -> str:
    return "Agrees" if agrees else "DOES NOT AGREE"


def _noted(line: dict[str, Any]) -> str:
    return f" ({line['note'].rstrip('.')})" if line["note"] else ""
