"""Labels to be printed: chosen, looked at, and handed out as PDF."""

from abc import ABC, abstractmethod
from base64 import b64encode
from typing import Any, ClassVar

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.http import content_disposition_header

from brewery.kernel.access import Right
from brewery.kernel.errors import DomainError
from brewery.kernel.pages.access import Page
from inventory.labels.printing import MOST_COPIES, Label, labels_as_pdf, labels_as_png
from inventory.labels.sizes import PALLET_SIZE, SIZES, USUAL_SIZE
from inventory.models import LogisticUnit, Lot
from inventory.pages.places import place_or_404
from inventory.services.labels import lot_labels, pallet_label, place_label

LAST_SIZE = "label-size-{}"
"""Where the session keeps the size that somebody printed last, for each kind of label."""


class LabelForm(forms.Form):
    """In which size, and how many; it asks by GET, so that a PDF has an address."""

    size = forms.ChoiceField(label="Size", choices=[(size.code, size.words) for size in SIZES.values()])
    copies = forms.IntegerField(
        label="Copies", min_value=1, max_value=MOST_COPIES, widget=forms.NumberInput(attrs={"autofocus": True})
    )


class LabelPage(Page, ABC, is_a_kind_of_page=True):
    """The label of one thing; with `print` in the address it is the PDF itself."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "inventory/label.html"
    kind: ClassVar[str]
    usual_size: ClassVar[str] = USUAL_SIZE

    @abstractmethod
    def label(self) -> Label:
        """Return the label. Raises Http404, NoLabel."""

    @abstractmethod
    def thing_url(self) -> str:
        """Return the page of what it is the label of."""

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        try:
            label = self.label()
        except DomainError as refused:
            return self.render_to_response(self.get_context_data(refusal=str(refused)), status=refused.status)
        form = LabelForm(request.GET) if request.GET else LabelForm(initial={"size": self._last_size(), "copies": 1})
        if form.is_valid() and "print" in request.GET:
            return self._printed(label, form)
        size = form.cleaned_data["size"] if form.is_valid() else self._last_size()
        shown = self.get_context_data(form=form, label=label, picture=_picture(label, size), size=SIZES[size])
        return self.render_to_response(shown, status=400 if form.errors else 200)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(thing_url=self.thing_url(), **kwargs)

    def _printed(self, label: Label, form: LabelForm) -> HttpResponse:
        asked = form.cleaned_data
        self.request.session[LAST_SIZE.format(self.kind)] = asked["size"]
        answer = HttpResponse(labels_as_pdf([label], SIZES[asked["size"]], asked["copies"]), "application/pdf")
        answer["Content-Disposition"] = content_disposition_header(False, f"label {label.code}.pdf") or "inline"
        return answer

    def _last_size(self) -> str:
        size = str(self.request.session.get(LAST_SIZE.format(self.kind)))
        return size if size in SIZES else self.usual_size


class LotLabelPage(LabelPage):
    """The label of a lot."""

    kind = "lot"

    def label(self) -> Label:
        """Return the lot's label."""
        lot = Lot.objects.filter(pk=self.kwargs["lot"]).first()
        if lot is None:
            raise Http404(f"There is no lot {self.kwargs['lot']}.")
        (label,) = lot_labels([lot])
        return label

    def thing_url(self) -> str:
        """Return the lot's page."""
        return reverse("lot", args=[self.kwargs["lot"]])


class PalletLabelPage(LabelPage):
    """The label of a pallet."""

    kind = "pallet"
    usual_size = PALLET_SIZE

    def label(self) -> Label:
        """Return the pallet's label."""
        unit = LogisticUnit.objects.filter(sscc=self.kwargs["sscc"]).first()
        if unit is None:
            raise Http404(f"There is no pallet {self.kwargs['sscc']}.")
        return pallet_label(unit)

    def thing_url(self) -> str:
        """Return the pallet's page."""
        return reverse("pallet", args=[self.kwargs["sscc"]])


class PlaceLabelPage(LabelPage):
    """The label of a place."""

    kind = "place"

    def label(self) -> Label:
        """Return the place's label."""
        return place_label(place_or_404(self.kwargs["place"]))

    def thing_url(self) -> str:
        """Return the place's page."""
        return reverse("place", args=[self.kwargs["place"]])


def _picture(label: Label, size: str) -> str:
    """Return the page with the label as an address that holds the picture itself."""
    (page,) = labels_as_png([label], SIZES[size])
    return f"data:image/png;base64,{b64encode(page).decode()}"
