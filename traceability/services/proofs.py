"""Proofs of the record, kept: what was found is there for people until a later proof no longer finds it."""

from collections.abc import Collection
from datetime import datetime

from django.db import transaction

from brewery.kernel.clock import brewery_day, now
from brewery.kernel.database.locks import hold_still
from brewery.kernel.database.sets import AT_ONCE
from traceability.models import Finding, FindingEnd, RecordProof
from traceability.queries.proof import Doubt, Proof, prove

PROVE = "prove_record"
"""The job that proves the record, every night and when somebody asks."""


def prove_and_keep() -> tuple[RecordProof, Proof]:
    """The whole record is proved as it is now, and what came of it is kept. Nothing is locked while it is read."""
    proved_at = now()
    proof = prove(brewery_day(proved_at))
    return keep_proof(proof, proved_at), proof


def keep_proof(proof: Proof, proved_at: datetime) -> RecordProof:
    """The proof is on record: what it found first is a finding, what it no longer found has its end.

    What was known before, in the same words, goes on as it is. Two who keep at once take turns.
    """
    with transaction.atomic():
        hold_still(RecordProof)
        row = RecordProof.objects.create(
            proved_at=proved_at, lots=proof.lots, links=proof.links, findings=len(proof.doubts)
        )
        found = set(proof.doubts)
        known = {
            Doubt(question, lot, words): key
            for key, question, lot, words in Finding.objects.standing().values_list("pk", "question", "lot", "words")
        }
        _begin([doubt for doubt in proof.doubts if doubt not in known], row)
        _end([key for doubt, key in known.items() if doubt not in found], row)
    return row


def _begin(doubts: Collection[Doubt], proof: RecordProof) -> None:
    rows = (Finding(question=one.question, lot_id=one.lot, words=one.words, found_by=proof) for one in doubts)
    Finding.objects.bulk_create(rows, batch_size=AT_ONCE)


def _end(findings: Collection[int], proof: RecordProof) -> None:
    FindingEnd.objects.bulk_create((FindingEnd(finding_id=key, proof=proof) for key in findings), batch_size=AT_ONCE)
