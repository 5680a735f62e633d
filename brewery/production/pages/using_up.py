"""Using up: what the planned brews had best take, lot by lot, beside first expired, first out; kept as proposed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.writing import FormPage, WritingForm
from brewery.production.models import BrewPlan
from brewery.production.queries.using_up import MOST_DAYS, USUAL_DAYS, MaterialPlan, Taking, using_up
from brewery.production.services.using_up import reserve_as_proposed
from inventory.models import Lot


class UsingUpFilter(forms.Form):
    """How far ahead, and whether packages stay whole."""

    days = forms.IntegerField(label="Days ahead", required=False, min_value=1, max_value=MOST_DAYS)
    whole = forms.BooleanField(label="Whole packages only", required=False)


class ReserveForm(WritingForm):
    """Keeps what was seen; the digest says what that was."""

    names: ClassVar[Mapping[str, str]] = {"digest": ""}

    days = forms.IntegerField(widget=forms.HiddenInput)
    whole = forms.BooleanField(widget=forms.HiddenInput, required=False)
    digest = forms.CharField(max_length=64, widget=forms.HiddenInput)


@dataclass(frozen=True)
class ShownTaking:
    """One row: what a plan takes of a lot both ways; nothing where one way takes none."""

    plan: BrewPlan
    lot: Lot
    alpha_pct: float | None
    best: Taking | None
    plain: Taking | None


@dataclass(frozen=True)
class ShownMaterial:
    """One material with its rows, by day and plan."""

    told: MaterialPlan
    rows: Sequence[ShownTaking]
    short: Sequence[tuple[str, int]]


class UsingUpPage(FormPage):
    """What the planned brews had best take."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.BREW
    template_name = "production/using_up.html"
    form_class = ReserveForm

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        asked = UsingUpFilter(self.request.GET)
        read = asked.cleaned_data if asked.is_valid() else {}
        days, whole = read.get("days") or USUAL_DAYS, bool(read.get("whole"))
        found = using_up(days, whole=whole)
        form = kwargs.pop("form", None) or ReserveForm()
        if not form.is_bound:
            form.initial.update(days=days, whole=whole, digest=found.digest)
        return super().get_context_data(
            form=form,
            filter_form=asked,
            found=found,
            materials=[_shown(one) for one in found.materials],
            may_write=self.may_write and bool(found.takings),
            **kwargs,
        )

    def write(self, form: Any) -> str:
        """Keep it."""
        asked = form.cleaned_data
        reserve_as_proposed(
            days=asked["days"],
            whole=asked["whole"],
            digest=asked["digest"],
            actor=self.person,
            request_id=asked["request_id"],
        )
        messages.success(self.request, "All of it is kept for the planned brews.")
        return reverse("using-up")


def _shown(told: MaterialPlan) -> ShownMaterial:
    best, plain = ({(one.plan.pk, one.lot.pk): one for one in way} for way in (told.best, told.plain))
    keys = sorted({**best, **plain}.items(), key=lambda item: (item[1].plan.brew_on, item[1].plan.code, item[1].lot.pk))
    rows = [ShownTaking(one.plan, one.lot, one.alpha_pct, best.get(key), plain.get(key)) for key, one in keys]
    return ShownMaterial(told, rows, list(told.short.items()))
