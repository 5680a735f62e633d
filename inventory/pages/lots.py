"""The list of lots."""

from typing import Any, ClassVar
from urllib.parse import urlencode

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from brewery.kernel.access import Right
from brewery.kernel.pages.access import Page
from inventory.models import Lot, Material
from inventory.models.dispositions import Disposition
from inventory.queries.search import FoundPage, Wanted, find_lots


class LotFilter(forms.Form):
    """What narrows the list."""

    q = forms.CharField(label="Lot code", required=False, max_length=20, strip=True)
    kind = forms.ChoiceField(label="Kind", required=False, choices=[("", "all kinds"), *Material.Kind.choices])
    disposition = forms.ChoiceField(
        label="Disposition", required=False, choices=[("", "all dispositions"), *Disposition.choices]
    )
    in_stock = forms.BooleanField(label="In stock only", required=False)
    before = forms.IntegerField(required=False, min_value=1, widget=forms.HiddenInput)
    after = forms.IntegerField(required=False, min_value=0, widget=forms.HiddenInput)


class LotsPage(Page):
    """Lots, the newest first. A whole code, as a scanner types it, leads straight to its lot."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "inventory/lots.html"

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        code = request.GET.get("q", "").strip()
        exact = Lot.objects.filter(code=code, reversed_by=None).first() if code else None
        if exact and set(request.GET) == {"q"}:
            return redirect("lot", exact.pk)
        return super().get(request, *args, **kwargs)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        form = LotFilter(self.request.GET)
        page, fault = FoundPage(), None
        if form.is_valid():
            asked = form.cleaned_data
            wanted = Wanted(asked["q"], asked["kind"], asked["disposition"], asked["in_stock"])
            page = find_lots(wanted, before=asked["before"], after=asked["after"])
        else:
            fault = "; ".join(
                f"{field}: {' '.join(str(fault) for fault in faults)}" for field, faults in form.errors.items()
            )
        shown = LotFilter({key: value for key, value in self.request.GET.items() if key not in ("before", "after")})
        return super().get_context_data(
            filter_form=shown,
            rows=page.rows,
            previous_url=self._url(after=page.newer),
            next_url=self._url(before=page.older),
            fault=fault,
            **kwargs,
        )

    def _url(self, **cursor: int | None) -> str | None:
        """Return this page's address at another cursor, or None at the end."""
        (value,) = cursor.values()
        if value is None:
            return None
        kept = {key: text for key, text in self.request.GET.items() if key not in ("before", "after")}
        return "?" + urlencode({**kept, **cursor})
