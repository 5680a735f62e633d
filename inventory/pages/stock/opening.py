"""Opening stock: the form that takes a CSV file of what lay in the brewery before its record began."""

from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.writing import FormPage, WritingForm
from inventory.services.opening_stock import COLUMNS, read_in_opening_stock


class OpeningForm(WritingForm):
    """A CSV file of lots. An empty one is refused by the service, as what it is."""

    file = forms.FileField(label="CSV file", allow_empty_file=True, widget=forms.FileInput(attrs={"accept": ".csv"}))
    unclean_reason = forms.CharField(
        label="Why vessels are filled uncleaned",
        required=False,
        max_length=2000,
        help_text="Only where the file names a silo or brink that was not cleaned since its last use.",
    )


class OpeningPage(FormPage):
    """Reads in an opening stock, whole; or tells all that is wrong with the file, line by line."""

    right: ClassVar[Right] = Right.KEEP_REGISTERS
    write_right: ClassVar[Right] = Right.KEEP_REGISTERS
    template_name = "inventory/stock/opening.html"
    form_class = OpeningForm

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(**{**kwargs, "columns": COLUMNS})

    def write(self, form: Any) -> str:
        """Read it in."""
        file = form.cleaned_data["file"]
        event = read_in_opening_stock(
            name=file.name,
            content=file.read(),
            actor=self.person,
            request_id=form.cleaned_data["request_id"],
            unclean_reason=form.cleaned_data["unclean_reason"],
        )
        messages.success(self.request, f"{event.made_lots.count()} lots are in stock.")
        return reverse("stock-lots")
