"""A worksheet as data: for answers, for what is kept of a closed period, and for paper."""

from typing import Any

from brewery.science.duty.questions import Facts
from brewery.science.duty.schemes import Duty, Worksheet
from brewery.science.ranges import OutOfRange
from inventory.queries.usage import Period
from traceability.queries.duty_movements import worksheet_of
from traceability.queries.duty_rates import doubts_of, facts_on, facts_to_keep, rate_book, rates_as_data


def worksheet_as_data(scheme: str, period: Period, facts: Facts | None = None) -> dict[str, Any]:
    """Return the worksheet with the answers and the rates that it is reckoned by; `refused` says why there is none.

    Without `facts`, the answers that are kept count.
    """
    answers = facts_on(scheme, period.first) if facts is None else facts
    book = rate_book(scheme)
    told: dict[str, Any] = {
        "facts": facts_to_keep(answers),
        "rates": rates_as_data(book.rows_in(period.first, period.last)),
        "doubts": doubts_of(book, period.first, period.last),
        "refused": "",
        "sheet": None,
    }
    try:
        return told | {"sheet": _sheet(worksheet_of(scheme, period, answers))}
    except OutOfRange as missing:
        return told | {"refused": str(missing) if missing.value is not None else missing.problem}


def _sheet(sheet: Worksheet) -> dict[str, Any]:
    return {
        "columns": [{"key": one.key, "label": one.label} for one in sheet.columns],
        "lines": [
            {
                "number": one.number,
                "label": one.label,
                "cells": {key: f"{amount:f}" for key, amount in one.cells.items()},
                "note": one.note,
            }
            for one in sheet.lines
        ],
        "checks": [{"key": one.key, "agrees": one.agrees, "words": one.words} for one in sheet.checks],
        "closing": {place.value: f"{amount:f}" for place, amount in sheet.closing.items()},
        "duty": _duty(sheet.duty),
    }


def _duty(duty: Duty) -> dict[str, Any]:
    return {
        "quantity": f"{duty.quantity:f}",
        "unit": duty.unit,
        "amount": f"{duty.amount:f}",
        "currency": duty.currency,
        "parts": [
            {
                "quantity": f"{float(part.quantity):.4f}",
                "rate": f"{part.rate:f}",
                "amount": f"{float(part.amount):.4f}",
                "why": part.why,
            }
            for part in duty.parts
        ],
        "notes": list(duty.notes),
    }
