"""The list of lots."""

from typing import Any, ClassVar
from urllib.parse import urlencode

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.access import Page
from inventory.models import Material
from inventory.models.dispositions import Disposition
from inventory.queries.search import FoundPage, Wanted, find_lots
from inventory.services.scan_refusals import UnreadableScan
from inventory.services.scans import read_scan


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
    """Lots, the newest first. A whole code or label, as a scanner types it, leads straight to what it names."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "inventory/lots.html"

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if set(request.GET) == {"q"} and (address := address_of(request.GET["q"])):
            return redirect(address)
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


def address_of(text: str) -> str | None:
    """Return the page of what a code or a label names: the lot's own, or what the scanner page shows; or None."""
    try:
        scan = read_scan(text)
    except UnreadableScan:
        return None
    if scan.own_lot:
        return reverse("lot", args=[scan.own_lot.pk])
    return f"{reverse('scan')}?{urlencode({'text': text})}"
