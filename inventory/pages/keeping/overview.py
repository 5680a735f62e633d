"""What keeps how long: every part of a lot with its limit, those that cross it first at the top."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any, ClassVar
from urllib.parse import urlencode

from django import forms

from brewery.kernel.access import Right
from brewery.kernel.clock import now
from brewery.kernel.pages.access import Page
from inventory.models import Keeping
from inventory.queries.keepings import keepings
from inventory.services.keepings import keeping_rules

PAGE = 100
FURTHEST_PAGE = 100_000


class KeepingFilter(forms.Form):
    """Which limit."""

    rule = forms.ChoiceField(label="Limit", required=False)
    page = forms.IntegerField(required=False, min_value=1, max_value=FURTHEST_PAGE, widget=forms.HiddenInput)

    def __init__(self, *data: Any) -> None:
        super().__init__(*data)
        rules = ((rule.name, rule.label) for rule in keeping_rules().values())
        self.fields["rule"] = forms.ChoiceField(label="Limit", required=False, choices=[("", "all limits"), *rules])
        self.order_fields(["rule", "page"])


@dataclass(frozen=True)
class KeptPart:
    """One row: the keeping, its limit in words, and how long it has until then."""

    keeping: Keeping
    limit: str
    held_micro: int
    words: str
    is_over: bool


class KeepingPage(Page):
    """What keeps how long."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "inventory/keeping/overview.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        form = KeepingFilter(self.request.GET)
        asked = form.cleaned_data if form.is_valid() else {}
        number = asked.get("page") or 1
        rows = list(keepings(asked.get("rule", ""))[(number - 1) * PAGE : number * PAGE + 1]) if form.is_valid() else []
        moment = now()
        return super().get_context_data(
            form=form,
            rows=[kept_part(row, row.held_micro or 0, moment) for row in rows[:PAGE]],
            previous_url=self._url(number - 1) if number > 1 else None,
            next_url=self._url(number + 1) if len(rows) > PAGE else None,
            **kwargs,
        )

    def _url(self, number: int) -> str:
        return "?" + urlencode({**{"rule": self.request.GET.get("rule", "")}, "page": number})


def kept_part(row: Keeping, held_micro: int, moment: datetime) -> KeptPart:
    """Return a keeping as pages show it."""
    return KeptPart(
        row,
        keeping_rules()[row.rule].label if row.rule in keeping_rules() else row.rule,
        held_micro,
        until_words(row, moment),
        bool(row.crosses_at and row.crosses_at <= moment),
    )


def until_words(row: Keeping, moment: datetime) -> str:
    """Return how long it has: "for 12 days more", "over for 3 days"."""
    if not row.is_known:
        return "nobody can tell: how it keeps, or how warm it lay, is not on record"
    if row.crosses_at is None:
        return "as it lies, it never does"
    days = (row.crosses_at - moment).days
    if row.crosses_at <= moment:
        return f"over for {_days(-days - 1)}"
    return f"for {_days(days)} more"


def _days(days: int) -> str:
    return "less than a day" if days < 1 else f"{days} {'day' if days == 1 else 'days'}"
