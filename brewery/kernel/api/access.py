"""Who may use a view: those who have the right that it names. A view that names none is closed to everybody."""

from collections.abc import Mapping
from typing import Any

from rest_framework.permissions import AllowAny, BasePermission, IsAuthenticated
from rest_framework.request import Request

from brewery.kernel.access import Right
from brewery.kernel.errors import NotAllowed
from brewery.kernel.models import User

Anyone = AllowAny
"""For the few views that must work before a sign-in; named in the access table like all others."""

SignedIn = IsAuthenticated
"""For what concerns only the person who asks: who am I, end my session."""


class HasNamedRight(BasePermission):
    """Lets those in who have `view.right`, or the right that `view.rights` names for the method."""

    def has_permission(self, request: Request, view: Any) -> bool:
        """Return whether the person may; raises NotAllowed, naming the right, where a person lacks it."""
        if not request.user or not request.user.is_authenticated:
            return False
        if not hasattr(view, (request.method or "").lower()):
            return True  # so that the answer is that the address does not do that
        right = named_right(view, request.method or "")
        if right is None:
            return False
        if isinstance(request.user, User) and request.user.has_right(right):
            return True
        raise NotAllowed(person=request.user, right=right)


def named_right(view: Any, method: str) -> Right | None:
    """Return the right that a view (or its class) declares for a method, or None where it declares none."""
    rights: Mapping[str, Right] = getattr(view, "rights", {})
    right: Right | None = rights.get("GET" if method == "HEAD" else method, getattr(view, "right", None))
    return right
