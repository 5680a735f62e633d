"""Form fields that take a scan of a label as well as a code."""

from typing import Any

from django import forms
from django.db.models import QuerySet

from inventory.models import Location, Lot
from inventory.pages.choices import NamedField
from inventory.queries.registers import lot_of
from inventory.services.scan_refusals import UnknownGtin, UnreadableScan
from inventory.services.scans import LONGEST_SCAN, read_scan

SCANNER = {"autocomplete": "off", "autocapitalize": "off", "spellcheck": "false", "data-scanner": ""}
"""How a field looks that a scanner types into; the script of the page keeps the separators for it."""


def code_scanned(text: str) -> str:
    """Return the code of the place, pallet or lot that a label names, or what is no label as it was typed.

    Raises ValidationError for a label that is wrong.
    """
    try:
        scan = read_scan(text)
    except UnreadableScan as refused:
        if type(refused) is UnreadableScan:
            return text
        raise forms.ValidationError(str(refused)) from refused
    if scan.location:
        return scan.location.code
    return scan.own_lot.code if scan.own_lot else text


class StoreField(NamedField):
    """A store, by a scan of its label, its code or its name."""

    thing = "store"
    offers = "stores"

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        self.widget.attrs.update(SCANNER)

    def rows(self) -> QuerySet[Any]:
        """Return the stores."""
        return Location.objects.filter(kind=Location.Kind.STORE)

    def clean(self, value: Any) -> Any:
        """Return the store, or None where nothing was typed. Raises ValidationError."""
        return super().clean(code_scanned(value) if isinstance(value, str) and value.strip() else value)


class LiftingField(StoreField):
    """A store or a pallet, from which something is lifted."""

    thing = "store or pallet"

    def rows(self) -> QuerySet[Any]:
        """Return stores and pallets."""
        return Location.objects.filter(kind__in=(Location.Kind.STORE, Location.Kind.PALLET))


class LotField(forms.CharField):
    """A lot, by a scan of its label or its code."""

    def __init__(self, **options: Any) -> None:
        super().__init__(max_length=LONGEST_SCAN, widget=forms.TextInput(attrs=SCANNER), **options)

    def clean(self, value: Any) -> Lot | None:
        """Return the lot, or None where nothing was typed. Raises ValidationError."""
        text = super().clean(value)
        if not text:
            return None
        lot = lot_of(code_scanned(text))
        if lot is None:
            raise forms.ValidationError(f"There is no lot “{text}”: scan its label, or type its code.")
        return lot


class SsccField(forms.CharField):
    """A pallet's number, by a scan of its label or its 18 digits; the service says whether they are right."""

    def __init__(self, **options: Any) -> None:
        super().__init__(max_length=LONGEST_SCAN, widget=forms.TextInput(attrs=SCANNER), **options)

    def clean(self, value: Any) -> str:
        """Return the digits, or what was typed. Raises ValidationError for a label that is wrong."""
        text: str = super().clean(value)
        if not text:
            return text
        try:
            return read_scan(text).sscc or text
        except UnreadableScan as refused:
            raise forms.ValidationError(str(refused)) from refused


class GtinField(forms.CharField):
    """A GTIN, by a scan of what bears it or its digits; the service says whether they are right."""

    def __init__(self, **options: Any) -> None:
        super().__init__(max_length=LONGEST_SCAN, widget=forms.TextInput(attrs=SCANNER), **options)

    def clean(self, value: Any) -> str:
        """Return the GTIN, or what was typed. Raises ValidationError for a label that is wrong."""
        text: str = super().clean(value)
        try:
            return read_scan(text).gtin or text
        except UnknownGtin as unknown:
            return str(unknown.facts["gtin"])
        except UnreadableScan as refused:
            if type(refused) is UnreadableScan:
                return text
            raise forms.ValidationError(str(refused)) from refused
