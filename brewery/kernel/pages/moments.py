"""Moments in a form: when something happened, by the brewery's clock."""

from datetime import datetime
from typing import Any, ClassVar

from django import forms

from brewery.kernel.clock import now
from brewery.kernel.models import Request
from brewery.kernel.pages.writing import WritingForm


class MomentInput(forms.DateTimeInput):
    """The browser's own picker for day and time, which takes and gives ISO 8601 alone."""

    input_type = "datetime-local"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%dT%H:%M")


class HappenedForm(WritingForm):
    """Says when it happened; left empty that is now, or for a second sending the moment of the first.

    `moment` is what the service calls it.
    """

    moment: ClassVar[str] = "happened_at"

    happened_at = forms.DateTimeField(
        label="When", required=False, widget=MomentInput, help_text="Leave it empty if it happens now."
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.order_fields([*(name for name in self.fields if name != "happened_at"), "happened_at"])

    def clean(self) -> dict[str, Any]:
        """Return what was typed with the moment."""
        read = super().clean() or {}
        if "happened_at" in read and read["happened_at"] is None and "request_id" in read:
            read["happened_at"] = self._first_asked(read["request_id"]) or now()
        return read

    def _first_asked(self, request_id: Any) -> datetime | None:
        earlier = Request.objects.filter(pk=request_id).first()
        told = earlier.content.get(self.moment) if earlier else None
        return datetime.fromisoformat(told) if told else None
