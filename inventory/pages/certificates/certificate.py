"""One certificate: what it states against what is asked, its papers, and what corrected it."""

from typing import Any, ClassVar

from django.http import Http404

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.pages.access import Page
from brewery.kernel.pages.facts import Fact
from brewery.kernel.templatetags.shell import day_text, moment_text
from brewery.science.properties import with_unit, written
from inventory.models import Certificate
from inventory.queries.certificates import certificates_in_full, properties_of, reading_of
from inventory.queries.judgements import Finding, doubts_about, judgement_of


class CertificatePage(Page):
    """One certificate."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "inventory/certificates/certificate.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        certificate = certificates_in_full().filter(pk=kwargs["certificate"]).first()
        if certificate is None:
            raise Http404(f"There is no certificate {kwargs['certificate']}.")
        judgement = judgement_of(certificate.lot, brewery_day())
        context = {
            **kwargs,
            "certificate": certificate,
            "replaced_by": getattr(certificate, "replaced_by", None),
            "facts": facts_of(certificate),
            "rows": rows_of(certificate, judgement.findings),
            "missing": [fault for fault in judgement.faults if fault.value is None],
            "doubts": doubts_about(certificate.values.all()),
            "may_correct": self.request.user.has_right(Right.CERTIFY),  # type: ignore[union-attr]
            "has_gone_on": certificate.lot.links_to_children.filter(reversed_by=None).exists(),
        }
        return super().get_context_data(**context)


def rows_of(certificate: Certificate, findings: tuple[Finding, ...]) -> list[dict[str, Any]]:
    """Return what it states, line by line; only what no correction replaced is judged."""
    judged = {finding.value.pk: finding for finding in findings if finding.value}
    properties = properties_of(certificate.lot.material.kind)
    return [
        {
            "label": properties[value.property].label,
            "shown": with_unit(written(reading_of(value)), properties[value.property]),
            "method": value.method,
            "finding": judged.get(value.pk),
        }
        for value in certificate.values.all()
    ]


def facts_of(certificate: Certificate) -> list[Fact]:
    """Return what is known of the paper, label by label."""
    return [
        Fact("Number", certificate.number),
        Fact("Laboratory", certificate.laboratory),
        Fact("Issued on", day_text(certificate.issued_on) if certificate.issued_on else ""),
        Fact("Entered", moment_text(certificate.recorded_at)),
        Fact("Entered by", certificate.actor.get_full_name() or certificate.actor.get_username()),
    ]
