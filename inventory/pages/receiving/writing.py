"""What can be done to a delivery from its page: each address does one thing."""

from typing import Any

from django import forms

from brewery.kernel.pages.writing import WritingForm
from inventory.models import Delivery, DeliveryLine
from inventory.pages.receiving.draft import AddForm, AskedForm, DraftWriting
from inventory.pages.receiving.head import HeadForm, differs, facts_of
from inventory.pages.receiving.lines import LineForm
from inventory.pages.receiving.lines_file import LinesFileForm
from inventory.pages.receiving.papers import PapersForm
from inventory.queries.deliveries import lines_of, usual_place
from inventory.queries.orders import outstanding_lines
from inventory.services.attachments import keep_file
from inventory.services.bookings import book_delivery
from inventory.services.delivery_drafts import change_delivery, discard_delivery, name_of
from inventory.services.delivery_files import read_in_lines
from inventory.services.delivery_lines import add_line, change_line, remove_line
from inventory.services.delivery_scans import scan_into_delivery
from inventory.services.draft_refusals import LineGone


class ScanForm(WritingForm):
    """What a scanner, a scale or a hand typed. A separator at an end goes with the white space."""

    text = forms.CharField(label="Scan", max_length=400)


class SentForm(AskedForm):
    """Of a larger form, what was sent of it: the rest stays as it is."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        for name in [name for name in self.fields if not self._is_sent(name)]:
            del self.fields[name]

    def _is_sent(self, name: str) -> bool:
        """A box that is not ticked is not sent; the form says in `boxes` that it has it."""
        return name in self.data or name in AskedForm.base_fields or name in self.data.get("boxes", "").split()

    def sent(self) -> list[str]:
        """Return the names of the fields that were sent."""
        return [name for name in self.fields if name not in AskedForm.base_fields]


class SentHeadForm(SentForm, HeadForm):
    """What of the head was changed."""


class SentLineForm(SentForm, LineForm):
    """What of a line was changed."""


class DraftHead(DraftWriting):
    """Changes what the head says."""

    form_class = SentHeadForm

    def write(self, delivery: Delivery, form: Any) -> None:
        """Change it, where anything differs."""
        asked = form.cleaned_data
        facts = facts_of({name: asked[name] for name in form.sent()})
        changes = {name: value for name, value in facts.items() if differs(delivery, name, value)}
        if changes:
            change_delivery(delivery=delivery, changes=changes, actor=self.person, **form.asked())


class DraftScans(DraftWriting):
    """Takes what was scanned, weighed or named."""

    form_class = ScanForm

    def write(self, delivery: Delivery, form: Any) -> None:
        """Put it into the draft."""
        scan_into_delivery(delivery=delivery, actor=self.person, **form.cleaned_data)


class DraftLines(DraftWriting):
    """Adds a line by hand."""

    form_class = AddForm

    def write(self, delivery: Delivery, form: Any) -> None:
        """Add it, for the place where it is likely to be put."""
        material = form.cleaned_data["material"]
        facts = {"material": material, "location": usual_place(delivery, material)}
        add_line(delivery=delivery, facts=facts, actor=self.person, request_id=form.cleaned_data["request_id"])


class DraftLine(DraftWriting):
    """Changes what a line says."""

    form_class = SentLineForm

    def form_for(self, delivery: Delivery) -> WritingForm:
        """Return the form of the line that the address names. Raises LineGone."""
        line = line_of(delivery, self.kwargs["line"])
        ordered = list(outstanding_lines().filter(order__supplier=delivery.supplier_id))
        own = [line.order_line] if line.order_line else []
        return SentLineForm(self.request.POST, line=line, orders=[*ordered, *own])

    def write(self, delivery: Delivery, form: Any) -> None:
        """Change it, where anything differs."""
        changes = form.facts(form.sent())
        if changes:
            change_line(delivery=delivery, line=form.line.pk, changes=changes, actor=self.person, **form.asked())


class LineRemoval(DraftWriting):
    """Removes a line."""

    form_class = AskedForm

    def write(self, delivery: Delivery, form: Any) -> None:
        """Remove it."""
        remove_line(delivery=delivery, line=self.kwargs["line"], actor=self.person, **form.asked())


class DeliveryPapers(DraftWriting):
    """Adds photos and papers, before the booking or after it."""

    form_class = PapersForm

    def write(self, delivery: Delivery, form: Any) -> None:
        """Keep each file."""
        for content, name, request_id in form.each():
            keep_file(content=content, name=name, delivery=delivery, actor=self.person, request_id=request_id)


class DraftFile(DraftWriting):
    """Reads the lines of a file into the draft."""

    form_class = LinesFileForm

    def write(self, delivery: Delivery, form: Any) -> None:
        """Read them, all or none."""
        file, request_id = form.cleaned_data["file"], form.cleaned_data["request_id"]
        read_in_lines(delivery=delivery, name=file.name, content=file.read(), actor=self.person, request_id=request_id)


class DraftBooking(DraftWriting):
    """Books the delivery."""

    form_class = AskedForm

    def write(self, delivery: Delivery, form: Any) -> None:
        """Book it, as it was seen."""
        book_delivery(delivery=delivery, actor=self.person, **form.asked())


class DraftDiscarding(DraftWriting):
    """Puts the draft away."""

    form_class = AskedForm

    def write(self, delivery: Delivery, form: Any) -> None:
        """Discard it."""
        discard_delivery(delivery=delivery, actor=self.person, **form.asked())


def line_of(delivery: Delivery, key: int) -> DeliveryLine:
    """Return the line with all that it names. Raises LineGone."""
    found = lines_of(delivery).filter(pk=key).first()
    if found is None:
        raise LineGone(delivery=name_of(delivery), removed="", field="line")
    return found
