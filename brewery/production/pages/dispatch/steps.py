"""One of several forms of a page: what it writes, and what is refused comes back in its place."""

from abc import ABC, abstractmethod
from typing import Any, ClassVar

from django.http import HttpRequest, HttpResponse

from brewery.kernel.errors import DomainError
from brewery.kernel.pages.writing import WritingForm, WritingPage, go_on


class Step(WritingPage, ABC, is_a_kind_of_page=True):
    """Takes one form of the page that it is mixed into; `name` is what the page calls it."""

    http_method_names = ("post",)
    name: ClassVar[str]

    @abstractmethod
    def sent_form(self) -> WritingForm:
        """Return the form with what was sent."""

    @abstractmethod
    def write(self, form: Any) -> str:
        """Call the service and return where to go on. Raises DomainError."""

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Write, and go on; or say what is wrong."""
        form = self.sent_form()
        if form.is_valid():
            try:
                return go_on(self.write(form))
            except DomainError as refused:
                form.refuse(refused)
        return self.render_to_response(self.get_context_data(**{self.name: form}), status=400)
