"""Pages: closed unless they name the right they need."""

from typing import Any, ClassVar

from django.contrib.auth.mixins import LoginRequiredMixin
from django.core.exceptions import ImproperlyConfigured, PermissionDenied
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.views.generic import TemplateView

from brewery.kernel.access import Right
from brewery.kernel.models import User


class Page(LoginRequiredMixin, TemplateView):
    """A page for people who are signed in and have `right`; others are asked to sign in, or refused."""

    right: ClassVar[Right]

    def __init_subclass__(cls, *, is_a_kind_of_page: bool = False, **kwargs: Any) -> None:
        """Raises ImproperlyConfigured where a page names no right; a kind of page leaves it to its pages."""
        super().__init_subclass__(**kwargs)
        if not is_a_kind_of_page and not hasattr(cls, "right"):
            raise ImproperlyConfigured(f"{cls.__name__} names no right: a page is closed unless it does.")

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        user = request.user
        if isinstance(user, User) and not user.has_right(self.right):
            raise PermissionDenied(f"This page needs the right “{self.right}”.")
        return super().dispatch(request, *args, **kwargs)
