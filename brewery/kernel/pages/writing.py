"""Pages that write: each form is sent once however often it is sent, and a refusal stands beside its field."""

import uuid
from abc import ABC, abstractmethod
from collections.abc import Mapping
from typing import Any, ClassVar, cast

from django import forms
from django.core.exceptions import ImproperlyConfigured, PermissionDenied
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.http.response import HttpResponseBase

from brewery.kernel.access import Right
from brewery.kernel.errors import DomainError
from brewery.kernel.models import User
from brewery.kernel.pages.access import Page

SEE_OTHER = 303


class WritingForm(forms.Form):
    """A form with a request id of its own, which a second sending of the same form repeats.

    `names` says which field of the form holds what a service calls by another name.
    """

    names: ClassVar[Mapping[str, str]] = {}

    request_id = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        if not self.is_bound:
            self.initial.setdefault("request_id", uuid.uuid4())

    def refuse(self, error: DomainError) -> None:
        """The refusal stands beside the field that it is about, or above the form."""
        for fault in error.all_faults():
            name = self.names.get(fault.field or "", fault.field)
            self.add_error(name if name in self.fields else None, str(fault))


class WritingPage(Page, is_a_kind_of_page=True):
    """A page that shows something to those with `right`, and writes for those with `write_right`."""

    write_right: ClassVar[Right]

    def __init_subclass__(cls, *, is_a_kind_of_page: bool = False, **kwargs: Any) -> None:
        """Raises ImproperlyConfigured where a page names no right to write with."""
        super().__init_subclass__(is_a_kind_of_page=is_a_kind_of_page, **kwargs)
        if not is_a_kind_of_page and not hasattr(cls, "write_right"):
            raise ImproperlyConfigured(f"{cls.__name__} names no right to write with: it is closed unless it does.")

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        user = request.user
        if request.method == "POST" and isinstance(user, User) and not user.has_right(self.write_right):
            raise PermissionDenied(f"This needs the right “{self.write_right}”.")
        return super().dispatch(request, *args, **kwargs)

    @property
    def person(self) -> User:
        """Who asks; nobody is here without a sign-in."""
        return cast(User, self.request.user)

    @property
    def may_write(self) -> bool:
        """Whether the person who looks may also write."""
        return self.person.has_right(self.write_right)


class FormShown(WritingPage, is_a_kind_of_page=True):
    """A page around one form."""

    form_class: ClassVar[type[WritingForm]]

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form, empty or with what was sent."""
        return self.form_class(*data)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        kwargs.setdefault("form", self.new_form())
        return super().get_context_data(**kwargs)


class FormPage(FormShown, ABC, is_a_kind_of_page=True):
    """What the form holds goes to one service, and a refusal comes back beside its field."""

    @abstractmethod
    def write(self, form: Any) -> str:
        """Call the service with what the form holds and return the address to go on to. Raises DomainError."""

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Write, and go on; or show the form again with what is wrong."""
        form = self.new_form(request.POST, request.FILES)
        if form.is_valid():
            try:
                return go_on(self.write(form))
            except DomainError as refused:
                form.refuse(refused)
        return self.render_to_response(self.get_context_data(form=form, **kwargs), status=400)


def go_on(address: str) -> HttpResponse:
    """Return the way to the next page, by which a reload sends nothing again."""
    return HttpResponseRedirect(address, status=SEE_OTHER)
