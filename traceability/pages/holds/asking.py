"""How a page asks for a family of lots: their codes, and which links to follow."""

from collections.abc import Sequence
from typing import Any

from django import forms

from brewery.kernel.errors import DomainError
from inventory.models import Link, Lot
from traceability.queries.lookup import lots_by_codes

KINDS = [(kind.label, kind.label) for kind in Link.Kind]
EVERY_KIND = [kind.label for kind in Link.Kind]


class LotCodesField(forms.CharField):
    """Codes of lots, separated by spaces."""

    def __init__(self, **options: Any) -> None:
        super().__init__(max_length=4000, **options)

    def clean(self, value: Any) -> list[Lot]:
        """Return the lots. Raises ValidationError for a code that no lot bears."""
        codes = super().clean(value).split()
        try:
            return lots_by_codes(list(dict.fromkeys(codes)), "lots")
        except DomainError as unknown:
            raise forms.ValidationError(str(unknown)) from unknown


class FamilyForm(forms.Form):
    """From which lots, over which links."""

    lots = LotCodesField(label="Lots", help_text="Their codes, with a space between.")
    follow = forms.MultipleChoiceField(
        label="Follow", required=False, choices=KINDS, widget=forms.CheckboxSelectMultiple
    )

    def clean_follow(self) -> Sequence[str]:
        """Return the kinds that were ticked; all where none was."""
        return self.cleaned_data["follow"] or EVERY_KIND
