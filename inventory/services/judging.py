"""Judging: what a certificate does to the lot it is of."""

from collections.abc import Iterable
from uuid import UUID

from brewery.kernel.clock import brewery_day, now
from brewery.kernel.models import User
from inventory.models import Certificate, Lot
from inventory.models.dispositions import Disposition
from inventory.queries.judgements import Finding, Judgement, judgement_of
from inventory.services.decisions import note_decision


def act_on(certificate: Certificate, lot: Lot, actor: User, request_id: UUID) -> None:
    """The lot, which the caller has locked, is quarantined for the faults found, or released where there are none.

    What is on hold or rejected stays so: that is for quality to lift. An own count releases nothing: who counts a yeast
    is who pitches it.
    """
    judgement = judgement_of(lot, brewery_day())
    if lot.disposition == Disposition.QUARANTINED:
        against = _against(lot, judgement)
        if against:
            _decide(certificate, lot, Disposition.QUARANTINED, _sentence(against), actor, request_id)
        elif not certificate.is_own_count and _may_be_released(lot, judgement):
            reason = f"all that is asked is kept ({judgement.asked} properties)"
            _decide(certificate, lot, Disposition.RELEASED, reason, actor, request_id)
    elif lot.disposition == Disposition.RELEASED:
        found = judgement.faults_of(certificate.pk)
        if found:
            _decide(certificate, lot, Disposition.QUARANTINED, _sentence(found), actor, request_id)


def _against(lot: Lot, judgement: Judgement) -> list[Finding]:
    """Return what stands against a release; a material that comes in released needs no certificate to be complete."""
    return [fault for fault in judgement.faults if fault.value or lot.material.arrives != Disposition.RELEASED]


def _may_be_released(lot: Lot, judgement: Judgement) -> bool:
    """Return whether a certificate releases the lot without a person from quality.

    It does where the material waits for a certificate and something is asked, and where nothing but a certificate,
    corrected since, took a release back. What was mixed from several lots, or decided on by a person, it leaves.
    """
    by_certificate = Certificate.objects.filter(lot=lot).values("request")
    if lot.links_to_parents.exists() or lot.decisions.exclude(request__in=by_certificate).exists():
        return False
    if lot.material.arrives == Disposition.QUARANTINED:
        return judgement.asked > 0
    return lot.material.arrives == Disposition.RELEASED and lot.decisions.exists()


def _decide(
    certificate: Certificate, lot: Lot, disposition: Disposition, why: str, actor: User, request_id: UUID
) -> None:
    name = f"Certificate {certificate.number}" if certificate.number else f"Its {certificate}"
    name = "The brewers' own count" if certificate.is_own_count else name
    note_decision(lot, disposition, f"{name}: {why}.", now(), actor, request_id)


def _sentence(faults: Iterable[Finding]) -> str:
    return "; ".join(fault.sentence for fault in faults)
