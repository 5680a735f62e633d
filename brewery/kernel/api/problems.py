"""Problem details: every refusal of the API is `application/problem+json` (RFC 9457), and says what to do next."""

import logging
import math
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import Error, IntegrityError, OperationalError
from django.http import Http404
from rest_framework import exceptions
from rest_framework.response import Response
from rest_framework.views import set_rollback

from brewery.kernel.api.faults import faults_of
from brewery.kernel.database.refusals import broken_rule, in_words, is_busy
from brewery.kernel.errors import DomainError
from brewery.science.units import UnitError

PROBLEM_JSON = "application/problem+json"
logger = logging.getLogger(__name__)

WORDS: dict[str, tuple[str, str]] = {
    "not_authenticated": (
        "This needs a sign-in.",
        "Get a token at /api/v1/sessions/ and send it as “Authorization: Token …”.",
    ),
    "authentication_failed": (
        "The sign-in is not valid.",
        "The token is wrong or has expired: get a new one at /api/v1/sessions/.",
    ),
    "permission_denied": ("This is closed.", "Nobody may do this here."),
    "not_found": ("There is nothing at this address.", "Look the address up in /api/v1/schema/."),
    "method_not_allowed": ("The address does not do that.", "Use a method that the Allow header names."),
    "not_acceptable": ("The answer cannot be had in that form.", "Accept application/json."),
    "unsupported_media_type": ("The content is of another kind.", "Send JSON, as Content-Type application/json."),
    "parse_error": ("The content cannot be read.", "Send one JSON value in UTF-8."),
    "too_large": ("The content is too large.", "Send it in several requests, each with a key of its own."),
    "throttled": ("Too many requests.", "Wait for as long as the Retry-After header says."),
}
"""Title and advice for what the framework refuses, by its code."""


def body_of(status: int, code: str, title: str, detail: str) -> dict[str, Any]:
    """Return the members of one problem. `type` names the kind of problem, relative to the service."""
    return {"type": f"/problems/{code}", "title": title, "status": status, "detail": detail, "code": code, "errors": []}


def problem(status: int, code: str, title: str, detail: str, errors: list[dict[str, Any]] | None = None) -> Response:
    """Return one problem as a response."""
    body = body_of(status, code, title, detail) | {"errors": errors or []}
    return Response(body, status=status, content_type=PROBLEM_JSON)


def problem_handler(error: Exception, context: dict[str, Any]) -> Response | None:
    """Return the problem that `error` is to the caller, or None where it is a fault of ours."""
    answer = _problem_of(error, context)
    if answer is not None:
        set_rollback()
    return answer


def _problem_of(error: Exception, context: dict[str, Any]) -> Response | None:
    if isinstance(error, DomainError):
        return _refused(error)
    if isinstance(error, UnitError):
        return problem(400, error.code, "The quantity is not valid.", str(error))
    if isinstance(error, Error):
        return _refused_by_database(error)
    if isinstance(error, Http404):
        error = exceptions.NotFound()
    if isinstance(error, PermissionDenied):
        error = exceptions.PermissionDenied()
    if isinstance(error, exceptions.ValidationError):
        return _invalid(error, context)
    return _refused_by_framework(error) if isinstance(error, exceptions.APIException) else None


def _refused(error: DomainError) -> Response:
    faults = [fault for fault in error.all_faults() if fault.field or fault is not error]
    errors = [{"field": fault.field, "code": fault.code, "detail": str(fault)} for fault in faults]
    answer = problem(error.status, error.code, error.title, str(error), errors)
    if error.status == 401:
        answer["WWW-Authenticate"] = "Token"
    return answer


def _refused_by_database(error: Error) -> Response | None:
    if isinstance(error, IntegrityError):
        rule = broken_rule(error)
        logger.warning("database_refused", extra={"rule": rule or str(error)})
        detail = in_words(rule) if rule else "The database refuses: it contradicts what is on record already."
        return problem(409, "database_refuses", "The record refuses this.", detail)
    if isinstance(error, OperationalError) and is_busy(error):
        logger.warning("database_busy", exc_info=error)
        answer = problem(
            503, "busy", "The record is busy.", "Send the same request again, with the same Idempotency-Key."
        )
        answer["Retry-After"] = "1"
        return answer
    return None


def _invalid(error: exceptions.ValidationError, context: dict[str, Any]) -> Response:
    errors = faults_of(error, context["request"])
    detail = " ".join(fault["detail"] for fault in errors)
    return problem(400, "invalid_input", "A value is not valid.", detail, errors)


def _refused_by_framework(error: exceptions.APIException) -> Response:
    code = str(error.default_code)
    title, advice = WORDS.get(code, ("The request is refused.", ""))
    answer = problem(error.status_code, code, title, f"{error.detail} {advice}".strip())
    if challenge := getattr(error, "auth_header", None):
        answer["WWW-Authenticate"] = challenge
    if wait := getattr(error, "wait", None):
        answer["Retry-After"] = str(math.ceil(wait))
    return answer
