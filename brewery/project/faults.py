"""What is answered where no view could: pages as HTML, the API as problem details, and neither with a traceback."""

from http import HTTPStatus
from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.views import defaults

from brewery.kernel.api.problems import PROBLEM_JSON, body_of
from brewery.kernel.api.sessions import LockedOut

API = "/api/"


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer a request that is not even one: a host that is not ours, a header that cannot be."""
    if request.path.startswith(API):
        return _problem(HTTPStatus.BAD_REQUEST, "bad_request", "The request cannot be read.", "Send it well formed.")
    return defaults.bad_request(request, exception)


def server_error(request: HttpRequest) -> HttpResponse:
    """Answer where a fault of ours stopped the request; what it was stands in the log, under the request's id."""
    if request.path.startswith(API):
        return _problem(
            HTTPStatus.INTERNAL_SERVER_ERROR,
            "server_fault",
            "Something is wrong with the service.",
            "Send the same request again, with the same Idempotency-Key; if it stays so, tell the administrator.",
        )
    return defaults.server_error(request)


def locked_out(request: HttpRequest, response: HttpResponse | None, credentials: Any) -> HttpResponse:
    """Answer a sign-in of a name that is locked; the API has said so already."""
    if response is not None and request.path.startswith(API):
        return response
    return render(request, "shell/locked_out.html", status=LockedOut.status)


def _problem(status: HTTPStatus, code: str, title: str, detail: str) -> HttpResponse:
    return JsonResponse(body_of(status, code, title, detail), status=status, content_type=PROBLEM_JSON)
