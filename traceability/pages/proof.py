"""The proof of the record: the last one, what it found, and the ones before it."""

from typing import Any, ClassVar

from django.contrib import messages
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.writing import FormPage, WritingForm
from brewery.kernel.services.jobs import ask_for_job
from traceability.queries.findings import MOST_SHOWN, last_proof, nights, so_many, standing_groups
from traceability.services.proofs import PROVE

NIGHTS = 30


class ProofPage(FormPage):
    """What the last proof found, question by question, and the history of proofs; POST asks for another now."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.DECIDE
    template_name = "traceability/proof.html"
    form_class = WritingForm

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

    def write(self, form: Any) -> str:
        """Ask for a proof; asked for twice while one waits, it is proved once."""
        ask_for_job(name=PROVE, arguments={}, actor=self.person, request_id=form.cleaned_data["request_id"])
        messages.success(self.request, "The record is being proved. Look at this page again in a minute.")
        return reverse("record-proof")
