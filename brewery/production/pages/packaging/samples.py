"""Retained samples: what is kept where and until when; one is taken, and one is examined and thrown away."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms
from django.http import Http404
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.pages.moments import HappenedForm
from brewery.kernel.pages.writing import FormPage, WritingForm, WritingPage
from brewery.production.models import RetainedSample
from brewery.production.pages.packaging.forms import DIGITS, MOST
from brewery.production.queries.retained_samples import kept_samples, samples_by_place
from brewery.production.services.retained_samples import LONGEST_SHELF, retain_sample, throw_away_sample
from inventory.models import Location
from inventory.pages.choices import offers
from inventory.pages.scanned import LiftingField, LotField

LONGEST_CODE = 40


class SamplesPage(WritingPage):
    """What is kept, place by place, by the day until which it is kept."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.SAMPLE
    template_name = "production/packaging/samples.html"
    http_method_names = ("get", "head")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        place = self.request.GET.get("place", "")[:LONGEST_CODE].replace("\x00", "")
        return super().get_context_data(
            rows=samples_by_place(place),
            place=place,
            places=Location.objects.filter(kind=Location.Kind.LABORATORY).order_by("code"),
            today=brewery_day(),
            may_write=self.may_write,
            may_discard=self.person.has_right(Right.DESTROY),
            **kwargs,
        )


class SampleForm(HappenedForm):
    """Packages that are kept back."""

    names: ClassVar[Mapping[str, str]] = {"quantity": "count", "laboratory": "location"}

    lot = LotField(label="Lot")
    count = forms.IntegerField(
        label="How many", min_value=1, max_value=MOST, initial=1, widget=forms.TextInput(attrs=DIGITS)
    )
    from_location = LiftingField(label="Out of")
    location = forms.ModelChoiceField(
        label="Kept at", queryset=Location.objects.filter(kind=Location.Kind.LABORATORY).order_by("code")
    )
    shelf = forms.CharField(label="Shelf", required=False, max_length=LONGEST_SHELF)
    keep_until = forms.DateField(
        label="Keep until",
        required=False,
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
        help_text="Empty: until the best-before day of the lot.",
    )

    def clean(self) -> dict[str, Any]:
        """Return what was typed; the day is the lot's own where none was typed."""
        read = super().clean()
        lot = read.get("lot")
        if lot and not read.get("keep_until") and "keep_until" not in self.errors:
            if lot.best_before is None:
                self.add_error("keep_until", f"Lot {lot.code} bears no best-before day: say until when.")
            read["keep_until"] = lot.best_before
        return read


class NewSamplePage(FormPage):
    """Takes a sample and keeps it."""

    right: ClassVar[Right] = Right.SAMPLE
    write_right: ClassVar[Right] = Right.SAMPLE
    template_name = "production/packaging/new_sample.html"

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form; an empty one is about the lot that the address names, at the only place there is."""
        places = list(Location.objects.filter(kind=Location.Kind.LABORATORY).values_list("pk", flat=True)[:2])
        initial = {"lot": self.request.GET.get("lot", ""), "location": places[0] if len(places) == 1 else None}
        return SampleForm(*data) if data else SampleForm(initial={**initial, "count": 1})

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(offers=offers("stores"), **kwargs)

    def write(self, form: Any) -> str:
        """Keep it."""
        retain_sample(actor=self.person, **form.cleaned_data)
        return reverse("retained-samples")


class DiscardForm(HappenedForm):
    """What was found, with which the sample is thrown away."""

    names: ClassVar[Mapping[str, str]] = {"sample": "", "lot": "", "quantity": "", "location": ""}

    reason = forms.CharField(
        label="What was found, or why it goes",
        required=False,
        max_length=200,
        help_text="Needed before its day. Figures belong in a certificate of the lot.",
    )


class DiscardPage(FormPage):
    """One sample: what it is, and its throwing away with what was found."""

    right: ClassVar[Right] = Right.DESTROY
    write_right: ClassVar[Right] = Right.DESTROY
    form_class = DiscardForm
    template_name = "production/packaging/discard.html"

    @property
    def sample(self) -> RetainedSample:
        """The sample that the address names, gone or not: the same form may come twice. Raises Http404."""
        rows = RetainedSample.objects.select_related("lot__material", "location")
        found = rows.filter(pk=self.kwargs["sample"]).first()
        if found is None:
            raise Http404(f"There is no retained sample {self.kwargs['sample']}.")
        return found

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        sample = self.sample
        is_kept = kept_samples().filter(pk=sample.pk).exists()
        may_certify = self.person.has_right(Right.CERTIFY)
        return super().get_context_data(kept=sample, is_kept=is_kept, may_certify=may_certify, **kwargs)

    def write(self, form: Any) -> str:
        """Throw it away."""
        throw_away_sample(sample=self.sample, actor=self.person, **form.cleaned_data)
        return reverse("retained-samples")
