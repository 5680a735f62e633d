"""The care of a vessel: a cleaning, one that was not done after all, and out of service and back."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms

from brewery.kernel.access import Right
from brewery.kernel.errors import NotFound
from brewery.production.pages.cellar.cautions import CAUSTIC, CONFINED, GAS
from brewery.production.pages.cellar.work import Held, WorkForm, WorkPage
from inventory.pages.choices import CodeInput
from inventory.queries.vessel_care import cleaning_of_number, usual_programmes
from inventory.services.cleanings import clean_vessel, withdraw_cleaning
from inventory.services.vessels import put_back_into_service, take_out_of_service


class CareForm(WorkForm):
    """What is done to the vessel itself: no lot is refused, so there is nothing to override."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields.pop("override_reason", None)


class CarePage(WorkPage, is_a_kind_of_page=True):
    """A piece of work on a vessel, whatever it holds; the form proposes nothing."""

    right = write_right = Right.CLEAN
    needs_contents = False

    def proposals(self, held: Held) -> dict[str, Any]:
        """Nothing is proposed: what was done is for whoever did it to say."""
        return {}


class CleaningForm(CareForm):
    """How it was cleaned."""

    programme = forms.CharField(
        label="Programme",
        max_length=120,
        widget=CodeInput("programmes"),
        help_text="What was used, in which order, as your site calls it.",
    )
    remark = forms.CharField(label="Remark", required=False, max_length=200)

    field_order = ("programme", "remark")


class CleaningPage(CarePage):
    """Writes a cleaning down."""

    form_class = CleaningForm
    title, submit, done = "Clean", "It was cleaned", "cleaned"
    cautions = (CAUSTIC, GAS, CONFINED)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        rows = [{"code": programme, "name": ""} for programme in usual_programmes()]
        return super().get_context_data(offers=[{"id": "programmes", "rows": rows}], **kwargs)

    def do(self, held: Held, form: Any, facts: dict[str, Any]) -> None:
        """Record it."""
        asked = form.cleaned_data
        clean_vessel(vessel=held.vessel, programme=asked["programme"], remark=asked["remark"], **facts)


class WithdrawalForm(CareForm):
    """Which cleaning was not done, and why it stood there."""

    cleaning = forms.IntegerField(min_value=1, max_value=2**63 - 1, widget=forms.HiddenInput)
    reason = forms.CharField(label="Why it is withdrawn", max_length=200)

    names: ClassVar[Mapping[str, str]] = {"cleaning": ""}

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        del self.fields["happened_at"]

    def service_facts(self) -> dict[str, Any]:
        """Return what a withdrawal wants: it bears the time of what it withdraws."""
        return {"request_id": self.cleaned_data["request_id"]}


class WithdrawalPage(CarePage):
    """Withdraws a cleaning that was entered by mistake."""

    form_class = WithdrawalForm
    title, submit, done = "Withdraw a cleaning", "Withdraw it", "cleaning withdrawn"

    def proposals(self, held: Held) -> dict[str, Any]:
        """Return the cleaning that the address names."""
        return {"cleaning": self.request.GET.get("cleaning", "")}

    def do(self, held: Held, form: Any, facts: dict[str, Any]) -> None:
        """Withdraw it, where it is one of this vessel. Raises NotFound."""
        number = form.cleaned_data["cleaning"]
        cleaning = cleaning_of_number(number)
        if cleaning is None or cleaning.vessel != held.vessel:
            raise NotFound(thing=f"cleaning of {held.vessel.name}", code=number)
        withdraw_cleaning(cleaning=cleaning, reason=form.cleaned_data["reason"], **facts)


class MarkForm(CareForm):
    """Why the vessel is out of service, or is back."""

    reason = forms.CharField(label="Why", max_length=200)

    field_order = ("reason",)


class OutOfServicePage(CarePage):
    """Takes the vessel out of service."""

    form_class = MarkForm
    title, submit, done = "Take out of service", "Take it out of service", "out of service"
    cautions = (GAS, CONFINED)

    def do(self, held: Held, form: Any, facts: dict[str, Any]) -> None:
        """Take it out."""
        take_out_of_service(vessel=held.vessel, reason=form.cleaned_data["reason"], **facts)


class IntoServicePage(CarePage):
    """Puts the vessel back into service."""

    form_class = MarkForm
    title, submit, done = "Put back into service", "Put it back into service", "back in service"
    cautions = (GAS, CONFINED)

    def do(self, held: Held, form: Any, facts: dict[str, Any]) -> None:
        """Put it back."""
        put_back_into_service(vessel=held.vessel, reason=form.cleaned_data["reason"], **facts)
