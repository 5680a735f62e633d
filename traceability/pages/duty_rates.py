"""The rates of a duty scheme: those that came with it and those entered, and the form that enters or confirms one."""

from typing import Any, ClassVar, cast

from django import forms
from django.contrib import messages
from django.http import Http404
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.days import DayInput
from brewery.kernel.pages.writing import FormPage, WritingForm
from brewery.science.duty.known import SCHEMES
from brewery.science.duty.schemes import CAUTION
from traceability.queries.duty_rates import known_rates, rate_book
from traceability.services.duty_rates import enter_rate


class RateForm(WritingForm):
    """One rate from a day on."""

    key = forms.ChoiceField(label="Rate")
    value = forms.DecimalField(label="Value", max_digits=16, decimal_places=6)
    valid_from = forms.DateField(label="In force from", widget=DayInput)
    valid_until = forms.DateField(label="Until; empty while it is in force", widget=DayInput, required=False)
    source = forms.CharField(label="Source: law and section, or address", max_length=400)
    checked_on = forms.DateField(label="Compared with the law on", widget=DayInput, required=False)

    def __init__(self, scheme: str, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        units = {row.key: row.unit for row in SCHEMES[scheme].rates}
        choices = cast(forms.ChoiceField, self.fields["key"])
        choices.choices = [(key, f"{key}, {unit}") for key, unit in units.items()]


class DutyRatesPage(FormPage):
    """The rates of one scheme by key and day."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.KEEP_DUTY
    template_name = "traceability/duty/rates.html"

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form; filled with the rate that is to be confirmed, where the address names one."""
        scheme = scheme_at(self.kwargs)
        return RateForm(scheme, *data) if data else RateForm(scheme, initial=self._named(scheme))

    def _named(self, scheme: str) -> dict[str, Any]:
        for one in known_rates(scheme):
            rate = one.rate
            if [rate.key, rate.valid_from.isoformat()] == [self.request.GET.get(name) for name in ("key", "from")]:
                told = {"key": rate.key, "value": rate.value, "valid_from": rate.valid_from}
                return told | {"valid_until": rate.valid_until, "source": rate.source}
        return {}

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        scheme = scheme_at(self.kwargs)
        context = {**kwargs, "scheme": SCHEMES[scheme], "rates": known_rates(scheme), "caution": CAUTION}
        return super().get_context_data(**context, faults=rate_book(scheme).faults(), may_write=self.may_write)

    def write(self, form: Any) -> str:
        """Enter it."""
        scheme = scheme_at(self.kwargs)
        rate = enter_rate(scheme=scheme, actor=self.person, **form.cleaned_data)
        messages.success(self.request, f"{rate.key} from {rate.valid_from} is on record.")
        return reverse("duty-rates", args=[scheme])


def scheme_at(kwargs: dict[str, Any]) -> str:
    """Return the scheme that the address names. Raises Http404."""
    scheme: str = kwargs["scheme"]
    if scheme not in SCHEMES:
        raise Http404(f"There is no scheme {scheme}.")
    return scheme
