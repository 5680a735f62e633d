"""The list of materials with what is set of each."""

from typing import Any, ClassVar

from django import forms

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.pages.access import Page
from brewery.science.allergens import ALLERGENS, CLAIMS
from inventory.models import Material
from inventory.queries.certificates import properties_of
from inventory.queries.specifications import in_force, limits_of


class MaterialFilter(forms.Form):
    """What narrows the list."""

    kind = forms.ChoiceField(label="Kind", required=False, choices=[("", "all kinds"), *Material.Kind.choices])


class MaterialsPage(Page):
    """The materials, by their codes."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "inventory/materials/materials.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        form = MaterialFilter(self.request.GET)
        kind = form.cleaned_data["kind"] if form.is_valid() else ""
        materials = list(Material.objects.filter(kind=kind) if kind else Material.objects.all())
        asked = in_force([material.pk for material in materials], brewery_day())
        rows = [
            {
                "material": material,
                "allergens": ", ".join(ALLERGENS[code].label for code in material.allergens),
                "claims": ", ".join(CLAIMS[code].label for code in material.claims),
                "asked": asked_in_words(material, asked.get(material.pk, {})),
            }
            for material in materials
        ]
        return super().get_context_data(filter_form=form, rows=rows, **kwargs)


def asked_in_words(material: Material, asked: dict[str, Any]) -> list[str]:
    """Return what is asked of a material, a line a property."""
    properties = properties_of(material.kind)
    return [f"{properties[key].label} {limits_of(asked[key])}" for key in properties if key in asked]
