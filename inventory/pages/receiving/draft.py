"""One delivery: while it is a draft, all of it can be written; once booked or discarded, it is shown as it stays."""

import uuid
from abc import ABC, abstractmethod
from typing import Any, ClassVar

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.errors import DomainError, InvalidInput, SeveralInvalid
from brewery.kernel.pages.facts import Fact
from brewery.kernel.pages.writing import WritingForm, WritingPage, go_on
from brewery.kernel.templatetags.shell import moment_text
from inventory.models import Delivery
from inventory.pages.choices import MaterialField, offers
from inventory.pages.receiving.lines_file import LinesFileForm, columns_shown
from inventory.pages.receiving.papers import PapersForm
from inventory.pages.receiving.shown import draft_shown
from inventory.queries.deliveries import changes_since, deliveries, lines_of

PIECES = "X-Pieces"
"""A header: the page's own script asks for the pieces of the page that may have changed, and nothing else."""


class AskedForm(WritingForm):
    """A button of the page: what it is about stands in its address. `version` is what the person has seen."""

    version = forms.IntegerField(min_value=1, widget=forms.HiddenInput)

    def asked(self) -> dict[str, Any]:
        """Return under which request it was asked, and what the person had seen."""
        return {name: self.cleaned_data[name] for name in AskedForm.base_fields}


class AddForm(WritingForm):
    """A line without a barcode begins with its material."""

    material = MaterialField(label="Material")


class DeliveryPage(WritingPage):
    """One delivery."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.RECEIVE
    http_method_names = ("get", "head")

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        return shown(self, delivery_of(kwargs["delivery"]))


class DraftWriting(WritingPage, ABC, is_a_kind_of_page=True):
    """An address that writes to a draft: afterwards the page is shown, or the pieces of it that its script asks for."""

    right: ClassVar[Right] = Right.RECEIVE
    write_right: ClassVar[Right] = Right.RECEIVE
    http_method_names = ("post",)
    form_class: ClassVar[type[WritingForm]]

    @abstractmethod
    def write(self, delivery: Delivery, form: Any) -> None:
        """Call the service. Raises DomainError."""

    def form_for(self, delivery: Delivery) -> WritingForm:
        """Return the form with what was sent."""
        return self.form_class(self.request.POST, self.request.FILES)

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Write, and show what has come of it."""
        delivery = delivery_of(kwargs["delivery"])
        try:
            form = self.form_for(delivery)
            refuse_bad_form(form)
            self.write(delivery, form)
        except DomainError as refused:
            return shown(self, delivery_of(delivery.pk), refused)
        if PIECES in request.headers:
            return shown(self, delivery_of(delivery.pk))
        return go_on(reverse("delivery", args=[delivery.pk]))


def delivery_of(key: int) -> Delivery:
    """Return the delivery of that number, fresh. Raises Http404."""
    found = deliveries().filter(pk=key).first()
    if found is None:
        raise Http404(f"There is no delivery {key}.")
    return found


def refuse_bad_form(form: WritingForm) -> None:
    """Raise InvalidInput, or several together, for what cannot be read of the fields that were sent."""
    faults = [
        InvalidInput(field=name, value=str(form.data.get(name, ""))[:60], problem=" ".join(map(str, sentences)))
        for name, sentences in form.errors.items()
    ]
    if faults:
        raise faults[0] if len(faults) == 1 else SeveralInvalid(faults)


def shown(page: WritingPage, delivery: Delivery, refused: DomainError | None = None) -> HttpResponse:
    """Return the page of the delivery, or its pieces, with what was refused."""
    told = [str(fault) for fault in refused.all_faults()] if refused else []
    context = {"delivery": delivery, "refused": told, "may_write": page.may_write}
    is_written = page.may_write and delivery.state == Delivery.State.DRAFT
    context |= _of_draft(page, delivery) if is_written else _of_record(delivery)
    pieces = PIECES in page.request.headers
    name = "pieces" if pieces else "draft" if is_written else "record"
    return render(page.request, f"inventory/receiving/{name}.html", context, status=refused.status if refused else 200)


def _of_draft(page: WritingPage, delivery: Delivery) -> dict[str, Any]:
    to = page.request.GET.get("to", "")
    return {
        **draft_shown(delivery, page.person, int(to) if to.isdecimal() else None),
        "asked": AskedForm(initial={"version": delivery.version}, auto_id=""),
        "add_form": AddForm(auto_id="add-%s"),
        "scan_id": uuid.uuid4(),
        "file_form": LinesFileForm(auto_id="lines-%s"),
        "columns": columns_shown(),
        "papers_form": PapersForm(auto_id="papers-%s"),
        "offers": offers("materials", "suppliers", "places"),
    }


def _of_record(delivery: Delivery) -> dict[str, Any]:
    last = changes_since(delivery, delivery.version - 1).first()
    return {
        "facts": facts_of(delivery),
        "lines": list(lines_of(delivery).select_related("lot__material")),
        "papers": list(delivery.attachments.all()),
        "last": last,
        "papers_form": PapersForm(auto_id="papers-%s"),
    }


def facts_of(delivery: Delivery) -> list[Fact]:
    """Return what the head says, label by label."""
    degrees = delivery.temperature_milli_c
    told = [
        Fact("Supplier", delivery.supplier.name),
        Fact("Delivery note", delivery.note_number),
        Fact("Arrived at", moment_text(delivery.arrived_at)),
        Fact("Carrier", delivery.carrier),
        Fact("Vehicle", delivery.vehicle),
        Fact("Temperature on arrival", "" if degrees is None else f"{degrees / 1000:g} °C"),
        Fact("Condition", delivery.get_condition_display() if delivery.condition else ""),
    ]
    if delivery.condition_note:
        told.append(Fact("What was wrong, and what was done", delivery.condition_note))
    return told
