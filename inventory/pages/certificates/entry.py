"""Entering a certificate: which lot it is of, then what it states."""

from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.pages.days import DayInput
from brewery.kernel.pages.writing import FormPage, WritingForm
from brewery.science.properties import written
from inventory.models import Certificate, Lot
from inventory.models.dispositions import Disposition
from inventory.pages.certificates.values import PREFIX, value_fields
from inventory.queries.certificates import certificates_in_full, properties_of, reading_of
from inventory.queries.judgements import doubts_about, judgement_of
from inventory.queries.registers import lot_of
from inventory.services.certificates import File, Measured, hand_in_certificate


class WhichLot(forms.Form):
    """Which lot the certificate is of; a scanner types its code."""

    lot = forms.CharField(
        label="Lot", max_length=20, widget=forms.TextInput(attrs={"autofocus": True, "autocomplete": "off"})
    )

    def clean_lot(self) -> Lot:
        """Return the lot. Raises ValidationError."""
        code = self.cleaned_data["lot"]
        lot = lot_of(code)
        if lot is None:
            raise forms.ValidationError(f"There is no lot “{code}”: look it up in the list of lots.")
        if not properties_of(lot.material.kind):
            raise forms.ValidationError(f"No certificates of {lot.material.get_kind_display()} are kept.")
        return lot


class CertificateForm(WritingForm):
    """What the certificate of one lot states; a property that is left empty is not stated."""

    number = forms.CharField(label="Certificate's number", required=False, max_length=60)
    laboratory = forms.CharField(label="Laboratory", required=False, max_length=120)
    issued_on = forms.DateField(label="Issued on", required=False, widget=DayInput)
    file = forms.FileField(
        label="The paper itself",
        required=False,
        help_text="A PDF or a photo.",
        widget=forms.FileInput(attrs={"accept": ".pdf,.jpg,.jpeg,.png,image/*"}),
    )

    def __init__(self, lot: Lot, *data: Any, replaces: Certificate | None = None) -> None:
        super().__init__(*data)
        self.lot, self.replaces = lot, replaces
        self.fields |= value_fields(lot.material, brewery_day())
        if replaces:
            for name in ("number", "laboratory", "issued_on"):
                self.initial[name] = getattr(replaces, name)
            for one in replaces.values.all():
                self.initial[PREFIX + one.property] = written(reading_of(one))

    @property
    def head(self) -> list[forms.BoundField]:
        """The fields about the paper."""
        return [field for field in self if not field.name.startswith(PREFIX)]

    @property
    def stated(self) -> list[forms.BoundField]:
        """The fields of what is stated."""
        return [field for field in self if field.name.startswith(PREFIX)]

    def clean(self) -> dict[str, Any]:
        """Return what was typed with `values`. Raises ValidationError where nothing is stated."""
        typed = super().clean() or {}
        names = [name for name in self.fields if name.startswith(PREFIX)]
        values = [Measured(name.removeprefix(PREFIX), typed[name]) for name in names if typed.get(name)]
        if not values and not self.errors:
            raise forms.ValidationError("Write at least one value.")
        return {**typed, "values": values}


class NewCertificatePage(FormPage):
    """The form that enters a certificate; without a lot in the address, the question which lot."""

    right: ClassVar[Right] = Right.CERTIFY
    write_right: ClassVar[Right] = Right.CERTIFY
    template_name = "inventory/certificates/new.html"

    def setup(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        """Read from the address which lot, and which certificate is corrected."""
        super().setup(request, *args, **kwargs)
        self.which = WhichLot(request.GET) if "lot" in request.GET else WhichLot()
        self.lot: Lot | None = self.which.cleaned_data["lot"] if self.which.is_valid() else None
        self.replaces = self._replaced(request.GET)

    def _replaced(self, query: QueryDict) -> Certificate | None:
        asked = query.get("replaces", "")
        if not asked:
            return None
        key = int(asked) if asked.isdecimal() and len(asked) < 19 else 0
        found = certificates_in_full().filter(pk=key, lot=self.lot).first()
        if found is None:
            raise Http404(f"There is no certificate {asked} of this lot.")
        return found

    def new_form(self, *data: Any) -> Any:
        """Return the form; a correction starts from what it corrects."""
        return CertificateForm(self.lot, *data, replaces=self.replaces) if self.lot else None

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(**{**kwargs, "which": self.which, "lot": self.lot, "replaces": self.replaces})

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Enter it, or show the form again with what is wrong."""
        if self.lot is None:
            return self.render_to_response(self.get_context_data(form=None), status=400)
        return super().post(request, *args, **kwargs)

    def write(self, form: Any) -> str:
        """Enter the certificate, and tell what it did to the lot."""
        asked = form.cleaned_data
        paper = asked["file"]
        certificate = hand_in_certificate(
            lot=form.lot,
            values=asked["values"],
            number=asked["number"],
            laboratory=asked["laboratory"],
            issued_on=asked["issued_on"],
            replaces=form.replaces,
            file=File(paper.read(), paper.name) if paper else None,
            actor=self.person,
            request_id=asked["request_id"],
        )
        self._tell(certificate)
        return reverse("certificate", args=[certificate.pk])

    def _tell(self, certificate: Certificate) -> None:
        lot = Lot.objects.select_related("material").get(pk=certificate.lot_id)
        against = "; ".join(fault.sentence for fault in judgement_of(lot, brewery_day()).faults)
        words = f"Lot {lot.code} is {Disposition(lot.disposition).label}" + (f": {against}." if against else ".")
        tell = messages.success if lot.disposition == Disposition.RELEASED else messages.warning
        tell(self.request, words)
        for doubt in doubts_about(certificate.values.all()):
            messages.warning(self.request, doubt)
