"""What the proofs of the record found: what stands, question by question, and how many came and went each night."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from django.db.models import Count, Model, QuerySet

from brewery.kernel.clock import now, on_the_wall
from inventory.queries.notices import Notice, told_by
from traceability.models import Finding, FindingEnd, RecordProof
from traceability.queries import completeness
from traceability.queries.proof import BALANCE, RESULTS

MOST_SHOWN = 100
"""Findings of one question on the page; its count is of all."""

OVERDUE = timedelta(hours=36)
"""A nightly proof that is older has missed a night."""

TITLES: dict[str, tuple[str, str]] = {
    BALANCE: (
        "Not balanced",
        "The record may have been changed behind the service: verify the seals, and trust no trace through the lot.",
    ),
    **{name: (question.title, question.advice) for name, question in completeness.QUESTIONS.items()},
    RESULTS: (
        "Released without its results",
        "Hold it until what is asked of its material is measured and within its limits.",
    ),
}
"""What each question's findings are called, and what to do about one."""


@dataclass(frozen=True)
class Group:
    """The findings of one question that stand: how many, and the first of them."""

    title: str
    advice: str
    count: int
    findings: Sequence[Finding]


@dataclass(frozen=True)
class Night:
    """One proof, and how many findings began and ended with it."""

    proof: RecordProof
    began: int
    ended: int


def last_proof() -> RecordProof | None:
    """Return the newest proof, or None where there never was one."""
    return RecordProof.objects.order_by("-pk").first()


def standing_groups() -> list[Group]:
    """Return what stands of every question, also of those that found nothing."""
    counts = dict(Finding.objects.standing().order_by().values_list("question").annotate(Count("pk")))
    return [Group(title, advice, counts.get(name, 0), _first(name)) for name, (title, advice) in TITLES.items()]


def _first(question: str) -> list[Finding]:
    standing = Finding.objects.standing().filter(question=question).select_related("lot__material", "found_by")
    return list(standing[:MOST_SHOWN])


def nights(most: int) -> list[Night]:
    """Return the last proofs, the newest first."""
    proofs = list(RecordProof.objects.order_by("-pk")[:most])
    began = _by_proof(Finding.objects.filter(found_by__in=proofs), "found_by")
    ended = _by_proof(FindingEnd.objects.filter(proof__in=proofs), "proof")
    return [Night(proof, began.get(proof.pk, 0), ended.get(proof.pk, 0)) for proof in proofs]


def _by_proof(rows: QuerySet[Model], name: str) -> dict[int, int]:
    return dict(rows.order_by().values_list(name).annotate(Count("pk")))


@told_by
def notice_of_proofs() -> Notice:
    """Return what quality's desk says of the last proof."""
    proof = last_proof()
    if proof is None:
        return Notice("The record was not proved yet.", "record-proof", needs_attention=True)
    moment = on_the_wall(proof.proved_at)
    if now() - proof.proved_at > OVERDUE:
        words = f"The record was last proved on {moment}: a night was missed."
        return Notice(words, "record-proof", needs_attention=True)
    words = f"Proof of the record, {moment}: {so_many(proof.findings)}."
    return Notice(words, "record-proof", needs_attention=proof.findings > 0)


def so_many(findings: int) -> str:
    """Return how many findings stand, in words."""
    return f"{findings or 'no'} open {'finding' if findings == 1 else 'findings'}"
