"""The list of certificates."""

from typing import Any, ClassVar
from urllib.parse import urlencode

from django import forms

from brewery.kernel.access import Right
from brewery.kernel.pages.writing import WritingPage
from inventory.queries.certificates import certificates

PAGE = 50


class CertificateFilter(forms.Form):
    """What narrows the list."""

    lot = forms.CharField(label="Lot", required=False, max_length=20)
    material = forms.CharField(label="Material's code", required=False, max_length=40)
    before = forms.IntegerField(required=False, min_value=1, widget=forms.HiddenInput)


class CertificatesPage(WritingPage):
    """Certificates, the last entered first."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.CERTIFY
    template_name = "inventory/certificates/certificates.html"
    http_method_names = ("get", "head")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        form = CertificateFilter(self.request.GET)
        asked = form.cleaned_data if form.is_valid() else {}
        found = certificates().order_by("-pk")
        if asked.get("lot"):
            found = found.filter(lot__code=asked["lot"])
        if asked.get("material"):
            found = found.filter(lot__material__code=asked["material"])
        if asked.get("before"):
            found = found.filter(pk__lt=asked["before"])
        page = list(found[: PAGE + 1])
        kept = {name: asked[name] for name in ("lot", "material") if asked.get(name)}
        older = page[PAGE - 1].pk if len(page) > PAGE else None
        return super().get_context_data(
            filter_form=CertificateFilter(kept),
            rows=page[:PAGE],
            next_url=f"?{urlencode({**kept, 'before': older})}" if older else None,
            may_write=self.may_write,
            **kwargs,
        )
