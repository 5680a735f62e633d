"""The list of alerts, narrowed by who is to act, how pressing it is, and of what kind; and how many there are."""

from typing import Any, ClassVar

from django import forms
from django.db.models import QuerySet

from brewery.kernel.access import Right, Role
from brewery.kernel.clock import now
from brewery.kernel.models import User
from brewery.kernel.pages.access import Page
from inventory.models import Alert
from inventory.queries.alerts import alerts, how_many_due, last_look
from inventory.services.alerts import alert_kinds, label_of

MOST_SHOWN = 200

STANDING = (
    ("due", "to act on"),
    ("put_off", "put off"),
    ("closed", "closed"),
)


def _kinds() -> list[tuple[str, str]]:
    return [("", "all"), *((kind.name, kind.label) for kind in alert_kinds().values())]


class AlertFilter(forms.Form):
    """What narrows the list."""

    owner = forms.ChoiceField(
        label="For", required=False, choices=[("", "everybody"), *((role.value, role.value) for role in Role)]
    )
    standing = forms.ChoiceField(label="Which", required=False, choices=STANDING)
    severity = forms.TypedChoiceField(
        label="Pressing",
        required=False,
        coerce=int,
        empty_value=None,
        choices=[("", "however much"), *((one.value, one.label) for one in Alert.Severity)],
    )
    kind = forms.ChoiceField(label="Kind", required=False, choices=_kinds)


class AlertsPage(Page):
    """What is to be known and done, the most pressing first; at first what is for the person's own roles."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "inventory/alerts/overview.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        form = AlertFilter(self.request.GET or {"owner": _own_role(self.request.user), "standing": "due"})
        rows = list(_narrowed(form.cleaned_data)[: MOST_SHOWN + 1]) if form.is_valid() else []
        shown = [{"alert": row, "label": label_of(row)} for row in rows]
        return super().get_context_data(
            **kwargs,
            filter_form=form,
            rows=shown[:MOST_SHOWN],
            is_cut_off=len(rows) > MOST_SHOWN,
            looked_at=last_look(),
            may_heed=isinstance(self.request.user, User) and self.request.user.has_right(Right.HEED),
        )


class AlertCountPage(Page):
    """How many alerts the person is to be told of, as a piece of a page."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "inventory/alerts/count.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        roles = roles_of(self.request.user)
        return super().get_context_data(**kwargs, count=how_many_due(roles, now()) if roles else 0)


def roles_of(user: Any) -> list[str]:
    """Return the roles of a person."""
    return list(user.groups.values_list("name", flat=True)) if isinstance(user, User) else []


def _own_role(user: Any) -> str:
    roles = roles_of(user)
    return roles[0] if len(roles) == 1 and roles[0] != Role.AUDITOR else ""


def _narrowed(asked: dict[str, Any]) -> QuerySet[Alert]:
    rows, moment = alerts(), now()
    match asked["standing"]:
        case "closed":
            rows = rows.exclude(closed_at=None).order_by("-closed_at", "-pk")
        case "put_off":
            rows = rows.open().filter(snoozed_until__gt=moment)  # type: ignore[attr-defined]
        case _:
            rows = rows.due(moment)  # type: ignore[attr-defined]
    wanted = {name: asked[name] for name in ("owner", "kind", "severity") if asked[name]}
    return rows.filter(**wanted)
