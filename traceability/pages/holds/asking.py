"""How a page asks for a family of lots: their codes, and which links to follow."""

import re
from collections.abc import Sequence
from typing import Any

from django import forms
from django.http import QueryDict

from brewery.kernel.errors import DomainError
from inventory.models import Link, Lot
from inventory.pages.scanned import code_scanned
from inventory.queries.lots import lots_by_code
from traceability.queries.lookup import lots_by_codes

KINDS = [(kind.label, kind.label) for kind in Link.Kind]
EVERY_KIND = [kind.label for kind in Link.Kind]


_BETWEEN = re.compile(r"[ \t\r\n,;]+")
"""What stands between two codes. Not the separator within a label, which other ways to split take for a space."""


class LotCodesField(forms.CharField):
    """Lots, by codes or scans of their labels with spaces or lines between; each once."""

    def __init__(self, **options: Any) -> None:
        super().__init__(max_length=4000, **options)

    def clean(self, value: Any) -> list[Lot]:
        """Return the lots. Raises ValidationError for a code that no lot bears, or for a label that is wrong."""
        typed = [part for part in _BETWEEN.split(super().clean(value)) if part]
        known = lots_by_code(typed)
        codes = [part if part in known else code_scanned(part) for part in typed]
        try:
            return lots_by_codes(list(dict.fromkeys(codes)), "lots")
        except DomainError as unknown:
            raise forms.ValidationError(str(unknown)) from unknown


def following_all(query: QueryDict) -> QueryDict:
    """Return what was asked for, with every kind of link ticked where none is named."""
    asked = query.copy()
    if "follow" not in asked:
        asked.setlist("follow", EVERY_KIND)
    return asked


class FamilyForm(forms.Form):
    """From which lots, over which links."""

    lots = LotCodesField(label="Lots", help_text="Their codes, with a space between.")
    follow = forms.MultipleChoiceField(
        label="Follow", required=False, choices=KINDS, widget=forms.CheckboxSelectMultiple
    )

    @classmethod
    def asked_by(cls, query: QueryDict) -> "FamilyForm":
        """Return the form as an address fills it in: every kind where it names none, and no fault before lots are."""
        asked = following_all(query)
        return cls(asked) if "lots" in asked else cls(initial={"follow": EVERY_KIND})

    def clean_follow(self) -> Sequence[str]:
        """Return the kinds that were ticked; all where none was."""
        return self.cleaned_data["follow"] or EVERY_KIND
