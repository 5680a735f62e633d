"""Certificates: entered once, never changed, corrected by another."""

import hashlib
from datetime import date

import pytest
from django.db import IntegrityError, transaction

from brewery.kernel.errors import InvalidInput, RequestIdReused
from inventory.models import Attachment, Certificate, CertificateValue
from inventory.queries.certificates import certificates_in_full
from inventory.queries.judgements import doubts_about
from inventory.services.attachments import UnknownFile
from inventory.services.certificates import (
    AlreadyReplaced,
    BadCertificate,
    CertificateKnown,
    File,
    Measured,
    OtherLot,
    hand_in_certificate,
)
from inventory.services.refusals import MadeByMistake, NothingToDo
from tests.brewhouse import Brewhouse, rid
from tests.inventory.laboratory import GOOD, Laboratory
from tests.inventory.papers import PDF
from tests.ledger import refused
from tests.standing import built_once


@built_once
def lab(brewhouse: Brewhouse) -> Laboratory:
    brewhouse.deliver("MUNICH", "M1", "500 kg")
    return Laboratory(brewhouse)


def test_a_certificate_says_what_was_written_and_who_wrote_it(lab: Laboratory):
    made = lab.enter("M1", number="A-7", laboratory="Stowfield", issued_on=date(2026, 2, 27))
    (kept,) = certificates_in_full()
    assert (kept.lot.code, kept.number, kept.laboratory, kept.issued_on) == (
        "M1",
        "A-7",
        "Stowfield",
        date(2026, 2, 27),
    )
    assert (kept, kept.actor) == (made, lab.house.people["receiving"])
    rows = [(value.property, value.value_micro, value.bound, value.text) for value in kept.values.all()]
    assert rows == [
        ("moisture", 4_500_000, "", ""),
        ("extract_fine_dry", 81_500_000, "", ""),
        ("ochratoxin_a", 100_000, "<", ""),
    ]


def test_a_lot_has_several_certificates(lab: Laboratory):
    lab.enter("M1", number="A-7", laboratory="Stowfield")
    lab.enter("M1", number="A-7", laboratory="Our own", values={"moisture": "4.4"})
    assert Certificate.objects.count() == 2


def test_the_same_request_is_the_same_certificate(lab: Laboratory):
    key = rid()
    assert lab.enter("M1", number="1", request_id=key) == lab.enter("M1", number="1", request_id=key)
    with pytest.raises(RequestIdReused, match="another values"):
        lab.enter("M1", number="1", request_id=key, values={"moisture": "4.6"})


def test_a_number_that_is_known_for_the_lot_is_not_entered_twice(lab: Laboratory):
    lab.enter("M1", number="A-7")
    with pytest.raises(
        CertificateKnown, match=r"Certificate A-7 of lot M1 was entered on \d{4}-\d\d-\d\d by receiving"
    ):
        lab.enter("M1", number="A-7")


def test_a_correction_takes_the_place_of_what_it_corrects(lab: Laboratory):
    wrong = lab.enter("M1", number="A-7", values={"moisture": "45"})
    right = lab.enter("M1", number="A-7", values={"moisture": "4.5"}, replaces=wrong)
    wrong.refresh_from_db()
    assert wrong.replaced_by == right
    assert [value.value_micro for value in wrong.values.all()] == [45_000_000]
    with pytest.raises(AlreadyReplaced, match="Certificate A-7 of lot M1 was replaced on"):
        lab.enter("M1", number="A-8", replaces=wrong)


def test_a_correction_is_of_the_same_lot(lab: Laboratory):
    lab.house.deliver("MUNICH", "M2", "500 kg", note="2")
    wrong = lab.enter("M1")
    with refused(OtherLot, f"The certificate {wrong.pk} is of lot M1, not of lot M2.", field="replaces"):
        lab.enter("M2", replaces=wrong)


def test_everything_wrong_with_the_values_is_told_at_once(lab: Laboratory):
    values = [Measured("moisture", "4,5"), Measured("alpha", "6"), Measured("protein", "11"), Measured("protein", "10")]
    with refused(BadCertificate, "The certificate of lot M1 has 3 things to put right."):
        hand_in_certificate(lot=lab.house.lot("M1"), values=values, **lab.house.by("receiving"))
    with pytest.raises(BadCertificate) as caught:
        hand_in_certificate(lot=lab.house.lot("M1"), values=values, **lab.house.by("receiving"))
    assert [fault.field for fault in caught.value.all_faults()] == [
        "values[0].value",
        "values[1].property",
        "values[3].property",
    ]


def test_a_certificate_without_values_is_refused(lab: Laboratory):
    with refused(NothingToDo, "The certificate has no lines."):
        lab.enter("M1", values={})


def test_a_certificate_of_tomorrow_is_refused(lab: Laboratory):
    with refused(InvalidInput, "issued_on: '2126-01-01' is not valid. That day has not come yet.", field="issued_on"):
        lab.enter("M1", issued_on=date(2126, 1, 1))


def test_a_lot_made_by_mistake_has_no_certificates(lab: Laboratory):
    lot = lab.house.lot("M1")
    lab.house.reverse(lot.made_by)
    facts = {"lot": lot, "values": [Measured("moisture", "4")]}
    with refused(MadeByMistake, "Lot M1 was recorded by mistake, and that record was reversed.", field="lot"):
        hand_in_certificate(**facts, **lab.house.by("receiving"))


def test_the_file_is_kept_under_its_digest_and_sent_twice_is_there_once(lab: Laboratory):
    facts = {
        "lot": lab.house.lot("M1"),
        "values": [Measured(name, value) for name, value in GOOD.items()],
        "file": File(PDF, "coa.pdf"),
        **lab.house.by("receiving"),
    }
    certificate = hand_in_certificate(**facts)
    assert hand_in_certificate(**facts) == certificate
    (paper,) = Attachment.objects.all()
    assert (paper.certificate, paper.sha256) == (certificate, hashlib.sha256(PDF).hexdigest())


def test_a_file_that_is_not_kept_here_keeps_its_certificate_out_too(lab: Laboratory):
    with pytest.raises(UnknownFile):
        hand_in_certificate(
            lot=lab.house.lot("M1"),
            values=[Measured("moisture", "4")],
            file=File(b"MZ", "coa.pdf"),
            **lab.house.by("receiving"),
        )
    assert Certificate.objects.count() == 0


def test_neither_a_certificate_nor_its_values_are_changed_or_deleted(lab: Laboratory):
    lab.enter("M1")
    rows = ((Certificate, "certificates", "number"), (CertificateValue, "certificate_values", "method"))
    for model, words, column in rows:
        with pytest.raises(IntegrityError, match=f"{words}_are_never_changed"), transaction.atomic():
            model.objects.update(**{column: "as if it had always been so"})
        with pytest.raises(IntegrityError, match=f"{words}_are_never_deleted"), transaction.atomic():
            model.objects.all()._raw_delete(using="default")


def test_figures_that_cannot_all_be_right_are_doubted(lab: Laboratory):
    """81.5 % dry basis at 4.2 % moisture is 78.08 % as-is, by the definition of dry basis."""
    doubted = lab.enter("M1", values={"moisture": "4.2", "extract_fine_dry": "81.5", "extract_fine_as_is": "81.5"})
    (doubt,) = doubts_about(doubted.values.all())
    assert "is 78.1 % as-is; the certificate says 81.5 %" in doubt
    for values in (
        {"moisture": "4.2", "extract_fine_dry": "81.5", "extract_fine_as_is": "78.1"},
        {"moisture": "< 4.2", "extract_fine_dry": "81.5", "extract_fine_as_is": "81.5"},
        {"moisture": "4.2", "extract_fine_dry": "81.5"},
    ):
        assert doubts_about(lab.enter("M1", values=values).values.all()) == []
