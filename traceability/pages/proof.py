"""The proof of the record: the last one, what it found, and the ones before it."""

from typing import Any, ClassVar

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.writing import WritingPage, go_on
from traceability.queries.findings import MOST_SHOWN, last_proof, nights, so_many, standing_groups
from traceability.services.proofs import ask_for_proof

NIGHTS = 30


class ProofPage(WritingPage):
    """What the last proof found, question by question, and the history of proofs; POST asks for another now."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.DECIDE
    template_name = "traceability/proof.html"

    def post(self, request: HttpRequest) -> HttpResponse:
        """Ask for a proof; asked for twice while one waits, it is proved once."""
        ask_for_proof()
        messages.success(request, "The record is being proved. Look at this page again in a minute.")
        return go_on(reverse("record-proof"))

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        proof = last_proof()
        return super().get_context_data(
            **kwargs,
            proof=proof,
            standing=f"{so_many(proof.findings)}.".capitalize() if proof else "",
            groups=standing_groups(),
            nights=nights(NIGHTS),
            most_shown=MOST_SHOWN,
            may_write=self.may_write,
        )
