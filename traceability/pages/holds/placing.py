"""Placing a hold: first what it would reach, then why."""

from typing import Any, ClassVar, cast

from django import forms
from django.contrib import messages
from django.http import QueryDict
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.writing import FormPage, WritingForm
from traceability.pages.holds.asking import KINDS, FamilyForm, LotCodesField
from traceability.queries.asking import NAMES
from traceability.queries.families import Family, family_of
from traceability.services.holds import place_hold


class HoldForm(WritingForm):
    """Why the lots and all that comes of them are held; from which lots and over which links was asked before."""

    lots = LotCodesField(widget=forms.HiddenInput)
    follow = forms.MultipleChoiceField(choices=KINDS, widget=forms.MultipleHiddenInput)
    reason = forms.CharField(label="Why it is held", max_length=2000, help_text="It stays on record with every lot.")
    reference = forms.CharField(
        label="Reference", required=False, max_length=60, help_text="A complaint, a laboratory's report."
    )


class NewHoldPage(FormPage):
    """What a hold on some lots would reach, and the form that places it."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.DECIDE
    template_name = "traceability/holds/new.html"
    form_class = HoldForm

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        sent = kwargs.get("form")
        asking = FamilyForm.asked_by(cast(QueryDict, sent.data) if sent else self.request.GET)
        family = self._family(asking)
        if family:
            kwargs.setdefault("form", hold_form(asking.cleaned_data["lots"], asking.cleaned_data["follow"]))
        return super().get_context_data(**kwargs, asking=asking, family=family, may_write=self.may_write)

    def _family(self, asking: FamilyForm) -> Family | None:
        if not asking.is_valid():
            return None
        asked = asking.cleaned_data
        return family_of({lot.pk for lot in asked["lots"]}, [NAMES[name] for name in asked["follow"]])

    def write(self, form: Any) -> str:
        """Place it."""
        asked = form.cleaned_data
        hold = place_hold(
            lots=asked["lots"],
            follow=asked["follow"],
            reason=asked["reason"],
            reference=asked["reference"],
            actor=self.person,
            request_id=asked["request_id"],
        )
        messages.success(self.request, f"{str(hold).capitalize()} stands: none of its lots can be used or shipped.")
        return reverse("hold", args=[hold.pk])


def hold_form(lots: Any, follow: Any, reason: str = "") -> HoldForm:
    """Return a form that places a hold on the lots."""
    codes = " ".join(lot.code for lot in lots)
    return HoldForm(initial={"lots": codes, "follow": list(follow), "reason": reason})
