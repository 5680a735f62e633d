"""The proof of the record: the last one, what it found, and the ones before it."""

from typing import Any, ClassVar

from brewery.kernel.access import Right
from brewery.kernel.pages.access import Page
from traceability.queries.findings import MOST_SHOWN, last_proof, nights, so_many, standing_groups

NIGHTS = 30


class ProofPage(Page):
    """What the last proof found, question by question, and the history of proofs."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "traceability/proof.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        proof = last_proof()
        return super().get_context_data(
            **kwargs,
            proof=proof,
            standing=f"{so_many(proof.findings)}.".capitalize() if proof else "",
            groups=standing_groups(),
            nights=nights(NIGHTS),
            most_shown=MOST_SHOWN,
        )
