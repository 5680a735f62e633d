"""The desk of quality: the lots that wait, why, and one decision on as many as are ticked."""

import re
from typing import Any, ClassVar

from django import forms
from django.contrib import messages

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.errors import DomainError
from brewery.kernel.pages.writing import FormPage, WritingForm
from inventory.models import Lot
from inventory.models.dispositions import Disposition
from inventory.queries.notices import notices
from inventory.queries.waiting import HELD_BACK, MOST_SHOWN, lots_held_back, waiting
from inventory.services.decisions import SeenLot, decide_on_lots

_OF_A_LOT = re.compile(r"lots\[(\d+)\]\.lot")
_TICKED = re.compile(r"(?P<lot>\d{1,18}):(?P<seen>[a-z_]{1,12})")

DECISIONS = (
    (Disposition.RELEASED.value, "Release"),
    (Disposition.ON_HOLD.value, "Hold"),
    (Disposition.REJECTED.value, "Reject"),
)


class WaitingFilter(forms.Form):
    """What narrows the list."""

    disposition = forms.ChoiceField(
        label="Disposition",
        required=False,
        choices=[("", "all that wait"), *((one.value, one.label) for one in HELD_BACK)],
    )
    material = forms.CharField(label="Material's code", required=False, max_length=40)


class TickedLots(forms.Field):
    """The lots that were ticked, each with what it was when somebody looked: "17:quarantined"."""

    default_error_messages = {"required": "Tick the lots to decide on.", "unknown": "Look at the page again."}
    widget = forms.MultipleHiddenInput

    def to_python(self, value: Any) -> list[SeenLot]:
        """Return the lots in the order in which they were ticked. Raises ValidationError."""
        found = [_TICKED.fullmatch(text) for text in value or ()]
        keys = [int(one["lot"]) for one in found if one]
        lots = Lot.objects.select_related("material").in_bulk(keys)
        if None in found or len(lots) != len(set(keys)):
            raise forms.ValidationError(self.error_messages["unknown"], code="unknown")
        return [SeenLot(lots[int(one["lot"])], one["seen"]) for one in found if one]


class DeskForm(WritingForm):
    """One decision on the lots that are ticked."""

    lots = TickedLots()
    decision = forms.ChoiceField(label="Decision", choices=DECISIONS, widget=forms.RadioSelect)
    reason = forms.CharField(label="Reason", max_length=2000, help_text="It stays on record with the lot.")

    override_reason = forms.CharField(
        label="Override, because",
        max_length=2000,
        required=False,
        help_text="To release packaged beer whose results are missing or outside.",
    )

    def __init__(self, *args: Any, may_override: bool = False, **options: Any) -> None:
        super().__init__(*args, **options)
        if not may_override:
            del self.fields["override_reason"]
        self.faults_of_lots: dict[int, str] = {}

    def refuse(self, error: DomainError) -> None:
        """A refusal that is about one lot stands in the lot's own row."""
        for fault in error.all_faults():
            found = _OF_A_LOT.fullmatch(fault.field or "")
            if found:
                self.faults_of_lots[self.cleaned_data["lots"][int(found[1])].lot.pk] = str(fault)
            else:
                super().refuse(fault)
        if self.faults_of_lots:
            self.add_error(None, "Nothing was decided: see what stands in the rows of the lots.")

    @property
    def ticked(self) -> set[str]:
        """What was ticked, as it was sent."""
        return set(self.data.getlist("lots")) if self.is_bound else set()  # type: ignore[attr-defined]


class QualityDesk(FormPage):
    """The lots that wait for quality, and the form that decides on several at once."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.DECIDE
    template_name = "inventory/quality/desk.html"
    form_class = DeskForm

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form; who may override is asked for a reason."""
        return DeskForm(*data, may_override=self.person.has_right(Right.OVERRIDE))

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        filter_form = WaitingFilter(self.request.GET)
        asked = filter_form.cleaned_data if filter_form.is_valid() else {}
        rows = waiting(lots_held_back(asked.get("disposition", ""), asked.get("material", "")), brewery_day())
        context = super().get_context_data(**kwargs)
        form = context["form"]
        return {
            **context,
            "filter_form": filter_form,
            "rows": [
                {
                    "waiting": row,
                    "value": (value := f"{row.lot.pk}:{row.lot.disposition}"),
                    "is_ticked": value in form.ticked,
                    "fault": form.faults_of_lots.get(row.lot.pk, ""),
                }
                for row in rows
            ],
            "may_write": self.may_write,
            "may_send_back": self.person.has_right(Right.SEND_BACK),
            "may_certify": self.person.has_right(Right.CERTIFY),
            "notices": notices(),
            "is_cut_off": len(rows) == MOST_SHOWN,
        }

    def write(self, form: Any) -> str:
        """Decide on the ticked lots."""
        asked = form.cleaned_data
        decide_on_lots(
            lots=asked["lots"],
            disposition=asked["decision"],
            reason=asked["reason"],
            override_reason=asked.get("override_reason", ""),
            actor=self.person,
            request_id=asked["request_id"],
        )
        codes = ", ".join(one.lot.code for one in asked["lots"])
        messages.success(self.request, f"Now {Disposition(asked['decision']).label}: {codes}.")
        return self.request.get_full_path()
