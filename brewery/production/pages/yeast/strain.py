"""One strain: what it is held to and was before, the form that sets it anew, and its lineage."""

from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.http import Http404
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.pages.days import DayInput
from brewery.kernel.pages.parts import PartsField
from brewery.kernel.pages.writing import FormPage, WritingForm
from brewery.production.models import StrainSetting
from brewery.production.pages.yeast.drawn import drawn_lineage
from brewery.production.queries.lineage import lineage_of_strain
from brewery.production.queries.strains import Strain, strain_of, strains_on
from brewery.production.services.strains import set_strain
from brewery.science.units import MICRO
from brewery.science.yeast import PITCHING_RATES
from inventory.models import Material


class StrainForm(WritingForm):
    """What the strain is held to from a day on."""

    names = {"least_viability": "least_viability_micro", "rate": "rate_micro"}

    last_generation = forms.IntegerField(label="Last generation that is used", min_value=1, max_value=100)
    least_viability_micro = PartsField(MICRO, label="Least viability, %", least=0, most=100)
    most_days = forms.IntegerField(label="Most days that a crop is stored", min_value=0, max_value=365)
    rate_micro = PartsField(
        MICRO,
        label="Pitching rate, million living cells for each mL and °P",
        help_text="Published: " + ", ".join(f"{one.million_per_ml_plato:g} {one.kind}" for one in PITCHING_RATES) + ".",
    )
    harvest_from_days = forms.IntegerField(
        label="Harvest from day", required=False, min_value=0, max_value=365, help_text="Days since the pitch."
    )
    harvest_until_days = forms.IntegerField(label="Harvest until day", required=False, min_value=0, max_value=365)
    in_force_from = forms.DateField(label="In force from", widget=DayInput)
    source = forms.CharField(label="Where it comes from", required=False, max_length=200)

    def __init__(self, strain: Strain, *data: Any) -> None:
        super().__init__(*data)
        for name in ("last_generation", "most_days", "harvest_from_days", "harvest_until_days"):
            self.initial[name] = getattr(strain, name)
            self.fields[name].widget.attrs["inputmode"] = "numeric"
        self.initial["least_viability_micro"] = round(strain.least_viability_pct * MICRO)
        self.initial["rate_micro"] = round(strain.rate * MICRO)
        self.initial["in_force_from"] = brewery_day()


class StrainPage(FormPage):
    """What a strain is held to, and all its yeast as a tree."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.SPECIFY
    template_name = "production/yeast/strain.html"

    @property
    def material(self) -> Material:
        """The strain that the address names. Raises Http404."""
        code = self.kwargs["code"]
        rows = Material.objects.filter(kind=Material.Kind.YEAST)
        found = None if "\x00" in code else rows.filter(code=code).first()
        if found is None:
            raise Http404(f"There is no yeast {code}.")
        return found

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form, with what holds today."""
        material = self.material
        return StrainForm(strains_on([material.pk], brewery_day())[material.pk], *data)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        material = self.material
        rows = StrainSetting.objects.filter(material=material).select_related("request__actor")
        context = {
            **kwargs,
            "material": material,
            "strain": strains_on([material.pk], brewery_day())[material.pk],
            "rows": [{"row": row, "strain": strain_of(row)} for row in rows],
            "lineage": drawn_lineage(lineage_of_strain(material), material.name),
        }
        return super().get_context_data(**context, may_write=self.may_write)

    def write(self, form: Any) -> str:
        """Set it."""
        made = set_strain(material=self.material, actor=self.person, **form.cleaned_data)
        messages.success(self.request, f"It is held to this from {made.in_force_from.isoformat()} on.")
        return reverse("strain", args=[self.kwargs["code"]])
