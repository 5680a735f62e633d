"""Certificates: what was measured of a lot is entered once, judged at once, and corrected by another certificate."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction
from django.utils import timezone

from brewery.kernel.clock import brewery_day, brewery_zone, now
from brewery.kernel.errors import DomainError, InvalidInput, SeveralFaults
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.science.properties import NotAReading, Reading, read
from inventory.models import Certificate, CertificateValue, Lot
from inventory.services.alert_bells import Bell, ring_for_alerts
from inventory.services.attachments import keep_file, kind_of
from inventory.services.judging import act_on
from inventory.services.posting import lock_lots
from inventory.services.refusals import MadeByMistake
from inventory.services.specifications import property_named
from inventory.services.stock import refuse_no_lines


class CertificateKnown(DomainError):
    code = "certificate_known"
    title = "The certificate is entered already."
    template = "Certificate {number} of lot {lot} was entered on {day} by {person}."
    advice = "Look it up; if that one is wrong, correct it."


class AlreadyReplaced(DomainError):
    code = "already_replaced"
    title = "The certificate was corrected already."
    template = "{certificate} of lot {lot} was replaced on {day} by {person}."
    advice = "Correct the one that replaced it."


class OtherLot(DomainError):
    code = "other_lot"
    status = 400
    title = "A correction is of the same lot."
    template = "{certificate} is of lot {other}, not of lot {lot}."
    advice = "Enter a certificate of its own for the other lot."


class BadCertificate(SeveralFaults):
    code = "bad_certificate"
    status = 400
    title = "Some of the values cannot be."
    template = "The certificate of lot {lot} has {count} things to put right."


@dataclass(frozen=True)
class Measured:
    """One property as the certificate states it, and by which method."""

    property: str
    value: str
    method: str = ""


@dataclass(frozen=True)
class File:
    """A file as it was handed over."""

    content: bytes
    name: str

    @property
    def sha256(self) -> str:
        """The digest under which it is kept."""
        return hashlib.sha256(self.content).hexdigest()


def hand_in_certificate(*, file: File | None = None, request_id: UUID, **facts: Any) -> Certificate:
    """As `enter_certificate`, and the file is kept with it under its digest: both, or neither.

    Raises also UnknownFile, FileTooLarge, EmptyFile.
    """
    if file:
        kind_of(file.content, file.name)
    with transaction.atomic():
        certificate: Certificate = enter_certificate(request_id=request_id, **facts)
        if file and not certificate.attachments.filter(sha256=file.sha256).exists():
            keep_file(
                content=file.content,
                name=file.name,
                certificate=certificate,
                actor=certificate.actor,
                request_id=uuid5(request_id, "file"),
            )
    return certificate


@once("enter_certificate", returns=Certificate)
def enter_certificate(
    *,
    lot: Lot,
    values: Sequence[Measured],
    actor: User,
    request_id: UUID,
    number: str = "",
    laboratory: str = "",
    issued_on: date | None = None,
    replaces: Certificate | None = None,
) -> Certificate:
    """The certificate is on record, never to be changed, and the lot is quarantined or released as it says.

    `replaces` is what it corrects. A lot is released only where its material waits for a certificate, nobody from
    quality has decided on it, and all that is asked is shown to be kept. Raises NothingToDo without values,
    BadCertificate with every fault beside its value, CertificateKnown, AlreadyReplaced, OtherLot, MadeByMistake.
    """
    return write_certificate(
        lot=lot,
        values=values,
        actor=actor,
        request_id=request_id,
        number=number,
        laboratory=laboratory,
        issued_on=issued_on,
        replaces=replaces,
    )


def write_certificate(
    *,
    lot: Lot,
    values: Sequence[Measured],
    actor: User,
    request_id: UUID,
    number: str,
    laboratory: str,
    issued_on: date | None,
    replaces: Certificate | None = None,
) -> Certificate:
    """As `enter_certificate`, within the transaction and under the request of the caller."""
    refuse_no_lines(values, "The certificate")
    locked = lock_lots([lot])[lot.pk]
    readings = _readings(locked, values)
    _refuse_lot(locked, issued_on)
    if replaces:
        _refuse_replaced(locked, Certificate.objects.select_related("lot").get(pk=replaces.pk))
    elif number:
        _refuse_known(locked, number, laboratory)
    certificate = Certificate.objects.create(
        lot=locked,
        number=number,
        laboratory=laboratory,
        issued_on=issued_on,
        replaces=replaces,
        recorded_at=now(),
        actor=actor,
        request_id=request_id,
    )
    CertificateValue.objects.bulk_create(
        CertificateValue(
            certificate=certificate,
            property=measured.property,
            value_micro=reading.value_micro,
            bound=reading.bound,
            text=reading.text,
            method=measured.method,
        )
        for measured, reading in zip(values, readings, strict=True)
    )
    act_on(certificate, locked, actor, request_id)
    ring_for_alerts(Bell.CERTIFICATE)
    return certificate


def _readings(lot: Lot, values: Sequence[Measured]) -> list[Reading]:
    """Return the values as they are kept. Raises BadCertificate with all that is wrong."""
    faults: list[DomainError] = []
    readings: list[Reading] = []
    for index, measured in enumerate(values):
        try:
            if measured.property in {earlier.property for earlier in values[:index]}:
                raise InvalidInput(
                    field=f"values[{index}].property", value=measured.property, problem="It is there twice."
                )
            of = property_named(lot.material, measured.property, f"values[{index}].property")
            readings.append(read(of, measured.value))
        except NotAReading as wrong:
            faults.append(InvalidInput(field=f"values[{index}].value", value=measured.value, problem=str(wrong)))
        except InvalidInput as wrong:
            faults.append(wrong)
    if faults:
        raise BadCertificate(faults, lot=lot.code)
    return readings


def _refuse_lot(lot: Lot, issued_on: date | None) -> None:
    if lot.reversed_by_id:
        raise MadeByMistake(lot=lot.code, field="lot")
    if issued_on and issued_on > brewery_day():
        raise InvalidInput(field="issued_on", value=issued_on.isoformat(), problem="That day has not come yet.")


def _refuse_known(lot: Lot, number: str, laboratory: str) -> None:
    known = Certificate.objects.filter(lot=lot, number=number, laboratory=laboratory, replaced_by=None)
    for earlier in known.select_related("actor"):
        raise CertificateKnown(number=number, lot=lot.code, field="number", **_entry(earlier))


def _refuse_replaced(lot: Lot, replaced: Certificate) -> None:
    if replaced.lot_id != lot.pk:
        raise OtherLot(certificate=_name(replaced), other=replaced.lot.code, lot=lot.code, field="replaces")
    for later in Certificate.objects.filter(replaces=replaced).select_related("actor"):
        raise AlreadyReplaced(certificate=_name(replaced), lot=lot.code, field="replaces", **_entry(later))


def _name(certificate: Certificate) -> str:
    return f"Certificate {certificate.number}" if certificate.number else f"The {certificate}"


def _entry(certificate: Certificate) -> dict[str, str]:
    day = timezone.localdate(certificate.recorded_at, brewery_zone()).isoformat()
    return {"day": day, "person": certificate.actor.get_full_name() or certificate.actor.get_username()}
