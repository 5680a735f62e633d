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
from inventory.pages.receiving.draft import delivery_of
from inventory.queries.deliveries import lines_of
from inventory.services.labels import lot_labels, pallet_label, place_label

MOST_AT_ONCE = 200
LAST_SIZE = "label-size-{}"
"""Where the session keeps the size that somebody printed last, for each kind of label."""


class NothingToLabel(DomainError):
    code = "nothing_to_label"
    template = "The delivery has no lots: they are made when it is booked."
    advice = "Book it, and print then."


class TooManyLabels(DomainError):
    code = "too_many_labels"
    template = "The delivery has {count} lots; {most} labels are printed at once at the most."
    advice = "Print those of single lots from the list."


class LabelForm(forms.Form):
    """In which size, and how many; it asks by GET, so that a PDF has an address."""

    size = forms.ChoiceField(label="Size", choices=[(size.code, size.words) for size in SIZES.values()])
    copies = forms.IntegerField(
        label="Copies", min_value=1, max_value=MOST_COPIES, widget=forms.NumberInput(attrs={"autofocus": True})
    )


class LabelPage(Page, ABC, is_a_kind_of_page=True):
    """The label of one thing, or of several lots; with `print` in the address it is the PDF itself."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "inventory/label.html"
    kind: ClassVar[str]
    usual_size: ClassVar[str] = USUAL_SIZE

    @abstractmethod
    def labels(self) -> list[Label]:
        """Return the labels, one at least. Raises Http404, NoLabel."""

    @abstractmethod
    def thing_url(self) -> str:
        """Return the page of what it is the label of."""

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        try:
            labels = self.labels()
        except DomainError as refused:
            return self.render_to_response(self.get_context_data(refusal=str(refused)), status=refused.status)
        form = LabelForm(request.GET) if request.GET else LabelForm(initial={"size": self._last_size(), "copies": 1})
        if form.is_valid() and "print" in request.GET:
            return self._printed(labels, form)
        size = form.cleaned_data["size"] if form.is_valid() else self._last_size()
        first = {"label": labels[0], "picture": _picture(labels[0], size), "size": SIZES[size]}
        shown = self.get_context_data(form=form, count=len(labels), **first)
        return self.render_to_response(shown, status=400 if form.errors else 200)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(thing_url=self.thing_url(), **kwargs)

    def _printed(self, labels: list[Label], form: LabelForm) -> HttpResponse:
        asked = form.cleaned_data
        self.request.session[LAST_SIZE.format(self.kind)] = asked["size"]
        answer = HttpResponse(labels_as_pdf(labels, SIZES[asked["size"]], asked["copies"]), "application/pdf")
        answer["Content-Disposition"] = content_disposition_header(False, f"label {labels[0].code}.pdf") or "inline"
        return answer

    def _last_size(self) -> str:
        size = str(self.request.session.get(LAST_SIZE.format(self.kind)))
        return size if size in SIZES else self.usual_size


class LotLabelPage(LabelPage):
    """The label of a lot."""

    kind = "lot"

    def labels(self) -> list[Label]:
        """Return the lot's label."""
        lot = Lot.objects.filter(pk=self.kwargs["lot"]).first()
        if lot is None:
            raise Http404(f"There is no lot {self.kwargs['lot']}.")
        return lot_labels([lot])

    def thing_url(self) -> str:
        """Return the lot's page."""
        return reverse("lot", args=[self.kwargs["lot"]])


class DeliveryLabelsPage(LabelPage):
    """The labels of all lots of a booked delivery, in the order of its lines."""

    kind = "lot"

    def labels(self) -> list[Label]:
        """Return a label a lot."""
        lots = [line.lot for line in lines_of(delivery_of(self.kwargs["delivery"])) if line.lot]
        if not lots:
            raise NothingToLabel
        if len(lots) > MOST_AT_ONCE:
            raise TooManyLabels(count=len(lots), most=MOST_AT_ONCE)
        return lot_labels(lots)

    def thing_url(self) -> str:
        """Return the delivery's page."""
        return reverse("delivery", args=[self.kwargs["delivery"]])


class PalletLabelPage(LabelPage):
    """The label of a pallet."""

    kind = "pallet"
    usual_size = PALLET_SIZE

    def labels(self) -> list[Label]:
        """Return the pallet's label."""
        unit = LogisticUnit.objects.filter(sscc=self.kwargs["sscc"]).first()
        if unit is None:
            raise Http404(f"There is no pallet {self.kwargs['sscc']}.")
        return [pallet_label(unit)]

    def thing_url(self) -> str:
        """Return the pallet's page."""
        return reverse("pallet", args=[self.kwargs["sscc"]])


class PlaceLabelPage(LabelPage):
    """The label of a place."""

    kind = "place"

    def labels(self) -> list[Label]:
        """Return the place's label."""
        return [place_label(place_or_404(self.kwargs["place"]))]

    def thing_url(self) -> str:
        """Return the place's page."""
        return reverse("place", args=[self.kwargs["place"]])


def _picture(label: Label, size: str) -> str:
    """Return the page with the label as an address that holds the picture itself."""
    (page,) = labels_as_png([label], SIZES[size])
    return f"data:image/png;base64,{b64encode(page).decode()}"
