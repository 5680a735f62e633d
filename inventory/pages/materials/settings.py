"""One material: what is set of it, and the form that sets it."""

from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.http import Http404
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.pages.facts import Fact
from brewery.kernel.pages.parts import PartsField
from brewery.kernel.pages.writing import FormPage, WritingForm
from brewery.science.allergens import ALLERGENS, CAUTION, CLAIMS, EXEMPT_IN_EU
from brewery.science.properties import plain
from brewery.science.salts import SALTS
from inventory.models import Material
from inventory.models.dispositions import Disposition
from inventory.pages.materials.overview import asked_in_words
from inventory.queries.certificates import properties_of
from inventory.queries.freshness import NEAR_DAYS, open_days_of, told_days_of
from inventory.queries.materials import SETTINGS, settings_of, version_of
from inventory.queries.specifications import in_force
from inventory.services.material_settings import set_up_material

ARRIVES = (
    (Disposition.RELEASED.value, "released"),
    (Disposition.QUARANTINED.value, "quarantined until a certificate keeps all that is asked, or quality releases it"),
    (Disposition.ON_HOLD.value, "on hold until quality releases it, whatever a certificate says"),
)
CONTAINERS = {
    Material.Container.KEG.value: "keg, dispensed by gas or pump",
    Material.Container.CASK.value: "cask, dispensed by pump",
    Material.Container.BOTTLES.value: "bottles",
    Material.Container.CANS.value: "cans",
}
PPM_IN_PERCENT = 10_000
THOUSANDTHS = 1_000
PPM_TO_MICRO_PERCENT = 100


class SettingsForm(WritingForm):
    """What is set of a material. `version` is that of the material as it was seen."""

    names = {
        "delivery_tolerance_ppm": "delivery_tolerance_pct",
        "count_tolerance_ppm": "count_tolerance_pct",
        "warmest_arrival_milli_c": "warmest_arrival_c",
        "lot": "claims",
        "version": "",  # hidden, so that what is said of it stands above the form
    }

    version = forms.CharField(widget=forms.HiddenInput, max_length=16)
    arrives = forms.ChoiceField(label="A lot arrives", choices=ARRIVES, widget=forms.RadioSelect)
    delivery_tolerance_pct = PartsField(
        PPM_IN_PERCENT,
        least=0,
        most=100,
        label="Tolerance against the delivery note, %",
        help_text="What is weighed may differ by this.",
    )
    count_tolerance_pct = PartsField(
        PPM_IN_PERCENT,
        least=0,
        most=100,
        label="Tolerance of a count, %",
        help_text="Beyond it a second person approves.",
    )
    warmest_arrival_c = PartsField(THOUSANDTHS, least=-50, most=100, label="Warmest on arrival, °C", required=False)
    shelf_life_days = forms.IntegerField(
        label="Shelf life, days",
        required=False,
        help_text="Where no best-before day is given, counted from when the lot was made or came.",
    )
    told_days_before = forms.IntegerField(
        label="Told before its best-before day, days",
        required=False,
        help_text=f"Where it is left empty, {NEAR_DAYS}.",
    )
    open_days = forms.IntegerField(
        label="A pack may be open for, days",
        required=False,
        help_text="Where it is left empty, as its kind usually may.",
    )
    allergens = forms.MultipleChoiceField(
        label="Allergens that it carries",
        required=False,
        choices=[(one.code, one.label) for one in ALLERGENS.values()],
        widget=forms.CheckboxSelectMultiple,
    )
    allergens_exempt_in_eu = forms.MultipleChoiceField(
        label="Of these exempt in the European Union",
        required=False,
        choices=[(code, f"{ALLERGENS[code].label}: {why}") for code, why in EXEMPT_IN_EU.items()],
        widget=forms.CheckboxSelectMultiple,
    )
    is_of_animal_origin = forms.BooleanField(label="Of animal origin", required=False)
    claims = forms.MultipleChoiceField(
        label="What is claimed of it",
        required=False,
        choices=[(one.code, one.label) for one in CLAIMS.values()],
        widget=forms.CheckboxSelectMultiple,
    )

    salt = forms.ChoiceField(
        label="Which salt it is",
        required=False,
        choices=[("", "not told"), *((one.formula, f"{one.name} ({one.formula})") for one in SALTS.values())],
        help_text="With its water of crystallisation, as on the sack: a gram of each brings other amounts of its ions.",
    )

    container = forms.ChoiceField(
        label="What it is filled into",
        required=False,
        choices=[("", "not told"), *CONTAINERS.items()],
        help_text="Duty differs by container in some countries. Where it is not told, it is taken by its size and is "
        "no draught beer: leave it so for casks that are tapped by gravity alone.",
    )

    def __init__(self, material: Material, *data: Any) -> None:
        super().__init__(*data)
        if material.kind != Material.Kind.SALT:
            del self.fields["salt"]
        if material.kind != Material.Kind.PACKAGED:
            del self.fields["container"]
        for name, value in settings_of(material).items():
            self.initial[self.names.get(name, name)] = value
        self.initial["version"] = version_of(material)

    def changes(self) -> dict[str, Any]:
        """Return the settings as the service calls them."""
        given = self.cleaned_data
        shown = {shown: name for name, shown in self.names.items() if name in SETTINGS}
        return {shown.get(name, name): given[name] for name in given if name not in ("request_id", "version")}


class MaterialPage(FormPage):
    """One material."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.SPECIFY
    template_name = "inventory/materials/material.html"

    @property
    def material(self) -> Material:
        """The material that the address names. Raises Http404."""
        return material_or_404(self.kwargs["code"])

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form, with what is set now or what was sent."""
        return SettingsForm(self.material, *data)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        material = self.material
        asked = in_force([material.pk], brewery_day()).get(material.pk, {})
        context = {
            **kwargs,
            "material": material,
            "facts": facts_of(material),
            "asked": asked_in_words(material, asked),
            "has_certificates": bool(properties_of(material.kind)),
            "may_write": self.may_write,
            "caution": CAUTION,
        }
        return super().get_context_data(**context)

    def write(self, form: Any) -> str:
        """Set it up."""
        asked = form.cleaned_data
        set_up_material(
            material=self.material,
            version=asked["version"],
            changes=form.changes(),
            actor=self.person,
            request_id=asked["request_id"],
        )
        messages.success(self.request, f"{self.material.name} is set up.")
        return reverse("material", args=[self.kwargs["code"]])


def material_or_404(code: str) -> Material:
    """Return the material of that code. Raises Http404."""
    found = Material.objects.filter(code=code).first() if "\x00" not in code else None
    if found is None:
        raise Http404(f"There is no material {code}.")
    return found


def facts_of(material: Material) -> list[Fact]:
    """Return what is set of a material, label by label."""
    warmest, shelf_life = material.warmest_arrival_milli_c, material.shelf_life_days
    open_days = open_days_of(material)
    salt = SALTS.get(material.salt)
    is_salt = material.kind == Material.Kind.SALT
    is_packaged = material.kind == Material.Kind.PACKAGED
    return [
        Fact("Code", material.code),
        Fact("Kind", material.get_kind_display()),
        *([Fact("Which salt it is", f"{salt.name} ({salt.formula})" if salt else "")] if is_salt else []),
        *([Fact("Filled into", CONTAINERS.get(material.container, ""))] if is_packaged else []),
        Fact("A lot arrives", dict(ARRIVES).get(material.arrives, material.get_arrives_display())),
        Fact("Tolerance against the delivery note", _percent(material.delivery_tolerance_ppm)),
        Fact("Tolerance of a count", _percent(material.count_tolerance_ppm)),
        Fact("Warmest on arrival", "" if warmest is None else f"{plain(warmest * THOUSANDTHS)} °C"),
        Fact("Shelf life", "" if shelf_life is None else f"{shelf_life} days"),
        Fact("Told before its best-before day", f"{told_days_of(material)} days"),
        Fact("A pack may be open for", "" if open_days is None else f"{open_days} days"),
        Fact("Allergens", ", ".join(_allergen(material, code) for code in material.allergens)),
        Fact("Of animal origin", "yes" if material.is_of_animal_origin else "no"),
        Fact("Claims", ", ".join(CLAIMS[code].label for code in material.claims)),
    ]


def _percent(ppm: int) -> str:
    return f"{plain(ppm * PPM_TO_MICRO_PERCENT)} %"


def _allergen(material: Material, code: str) -> str:
    exempt = " (exempt in the European Union)" if code in material.allergens_exempt_in_eu else ""
    return f"{ALLERGENS[code].label}{exempt}"
