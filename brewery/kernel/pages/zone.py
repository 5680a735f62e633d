"""The brewery's time zone, in force while a request is answered."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from brewery.kernel.clock import brewery_zone


class BreweryTime:
    """Middleware: every page shows and reads times as the brewery's clock tells them; the API speaks UTC."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        with timezone.override(None if request.path.startswith("/api/") else brewery_zone()):
            return self.get_response(request)
