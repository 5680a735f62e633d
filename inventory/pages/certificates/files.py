"""Reading certificates from a file: many lots at once."""

from collections import defaultdict
from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.writing import FormPage, WritingForm
from inventory.models import Certificate
from inventory.models.dispositions import Disposition
from inventory.queries.certificates import certificates
from inventory.services.certificate_files import HEAD, PROPERTIES, hand_in_file


class FileForm(WritingForm):
    """The file."""

    file = forms.FileField(label="CSV file", widget=forms.FileInput(attrs={"accept": ".csv,text/csv"}))


class CertificateFilesPage(FormPage):
    """The form that reads a file of certificates."""

    right: ClassVar[Right] = Right.CERTIFY
    write_right: ClassVar[Right] = Right.CERTIFY
    template_name = "inventory/certificates/files.html"
    form_class = FileForm

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(head=[column.name for column in HEAD], properties=PROPERTIES, **kwargs)

    def write(self, form: Any) -> str:
        """Enter all of the file, and tell what it did to the lots."""
        paper = form.cleaned_data["file"]
        first = hand_in_file(
            content=paper.read(), name=paper.name, actor=self.person, request_id=form.cleaned_data["request_id"]
        )
        self._tell(first)
        return reverse("certificates")

    def _tell(self, first: Certificate) -> None:
        by_disposition: dict[str, list[str]] = defaultdict(list)
        made = list(certificates().filter(request=first.request_id).order_by("pk"))
        for certificate in made:
            codes = by_disposition[certificate.lot.disposition]
            if certificate.lot.code not in codes:
                codes.append(certificate.lot.code)
        told = [f"{Disposition(one).label}: {', '.join(codes)}" for one, codes in by_disposition.items()]
        messages.success(self.request, f"Certificates entered: {len(made)}. Lots {'; '.join(told)}.")
