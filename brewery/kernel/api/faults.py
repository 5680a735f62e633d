"""Faults of what was sent: each names its field, shows the value that was given, and says what to do."""

import json
from collections.abc import Iterator
from typing import Any

from rest_framework.exceptions import ErrorDetail, ValidationError
from rest_framework.request import Request
from rest_framework.settings import api_settings

Path = tuple[str | int, ...]

SECRET_FIELDS = frozenset({"password"})
LONGEST_SHOWN = 60
_NOT_GIVEN = object()


def faults_of(error: ValidationError, request: Request) -> list[dict[str, Any]]:
    """Return one entry a fault: `field` (as "lines[0].quantity"), `code`, `detail`, and `value` where one was given."""
    sent = _sent(request)
    return [_fault(path, detail, sent) for path, detail in _walk(error.detail, ())]


def field_name(path: Path) -> str:
    """Return the way to a field as people write it: lines[0].quantity."""
    name = ""
    for step in path:
        name += f"[{step}]" if isinstance(step, int) else f".{step}" if name else step
    return name


def _fault(path: Path, detail: ErrorDetail, sent: Any) -> dict[str, Any]:
    name = field_name(path)
    fault = {"field": name or None, "code": str(detail.code), "detail": f"{name}: {detail}" if name else str(detail)}
    value = _value_at(sent, path)
    if value is _NOT_GIVEN or not path or path[-1] in SECRET_FIELDS:
        return fault
    return {**fault, "detail": f"{name}: {_shown(value)} is not accepted. {detail}", "value": _short(value)}


def _walk(detail: Any, path: Path) -> Iterator[tuple[Path, ErrorDetail]]:
    if isinstance(detail, ErrorDetail):
        yield path, detail
    elif isinstance(detail, dict):
        for key, part in detail.items():
            yield from _walk(part, path if key == api_settings.NON_FIELD_ERRORS_KEY else (*path, key))
    else:
        # A list holds the faults of one field, or an entry (empty where it is right) for each line.
        for index, part in enumerate(detail):
            yield from _walk(part, path if isinstance(part, ErrorDetail) else (*path, index))


def _sent(request: Request) -> Any:
    """Return what was asked with: the body of a write, the parameters of a read."""
    return request.query_params.dict() if request.method in ("GET", "HEAD") else request.data


def _value_at(sent: Any, path: Path) -> Any:
    """Return the plain value that lies at `path`; containers are not shown."""
    for step in path:
        try:
            sent = sent[step]
        except (KeyError, IndexError, TypeError):
            return _NOT_GIVEN
    return _NOT_GIVEN if isinstance(sent, dict | list) else sent


def _short(value: Any) -> Any:
    """Return the value, or the beginning of a long one."""
    if isinstance(value, str):
        return value if len(value) <= LONGEST_SHOWN else value[:LONGEST_SHOWN] + "…"
    return value if isinstance(value, bool | None) or abs(value) < 10**LONGEST_SHOWN else "…"


def _shown(value: Any) -> str:
    return json.dumps(_short(value), ensure_ascii=False)
