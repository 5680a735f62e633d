"""What is asked of a material: the limits of each property, and the form that sets one anew."""

from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.pages.days import DayInput
from brewery.kernel.pages.parts import PartsField
from brewery.kernel.pages.writing import FormPage, WritingForm
from brewery.science.properties import Property
from brewery.science.units import MICRO
from inventory.models import Material, Specification
from inventory.pages.materials.settings import material_or_404
from inventory.queries.certificates import properties_of
from inventory.queries.specifications import in_force, limits_of
from inventory.services.specifications import set_specification


class LimitForm(WritingForm):
    """The limits of one property from a day on."""

    names = {"least_micro": "least", "most_micro": "most"}

    property = forms.ChoiceField(label="Property")
    least = PartsField(MICRO, label="At least", required=False)
    most = PartsField(MICRO, label="At most", required=False)
    is_withdrawn = forms.BooleanField(label="Asked for no longer", required=False)
    in_force_from = forms.DateField(label="In force from", widget=DayInput)
    source = forms.CharField(label="Where it comes from", required=False, max_length=200)

    def __init__(self, material: Material, *data: Any) -> None:
        super().__init__(*data)
        chosen = [(one.key, _named(one)) for one in properties_of(material.kind).values()]
        self.fields["property"] = forms.ChoiceField(
            label="Property", choices=chosen, help_text="Without limits it must be stated and may be anything."
        )
        self.order_fields(["request_id", "property"])
        self.initial.setdefault("in_force_from", brewery_day())


def _named(measured: Property) -> str:
    return f"{measured.label}, {measured.unit}" if measured.unit else measured.label


class MaterialLimitsPage(FormPage):
    """What is asked of a material today, from later days, and before."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.SPECIFY
    template_name = "inventory/materials/limits.html"

    @property
    def material(self) -> Material:
        """The material that the address names. Raises Http404."""
        return material_or_404(self.kwargs["code"])

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form."""
        return LimitForm(self.material, *data)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        material, today = self.material, brewery_day()
        now_asked = {row.pk for row in in_force([material.pk], today).get(material.pk, {}).values()}
        properties = properties_of(material.kind)
        rows = [
            {
                "row": row,
                "label": properties[row.property].label,
                "limits": limits_of(row),
                "is_in_force": row.pk in now_asked,
                "is_to_come": row.in_force_from > today,
            }
            for row in Specification.objects.filter(material=material).select_related("material", "request__actor")
        ]
        context = {**kwargs, "material": material, "rows": rows, "has_properties": bool(properties)}
        return super().get_context_data(**context, may_write=self.may_write)

    def write(self, form: Any) -> str:
        """Set the limits."""
        asked = form.cleaned_data
        made = set_specification(
            material=self.material,
            property=asked["property"],
            least_micro=asked["least"],
            most_micro=asked["most"],
            is_withdrawn=asked["is_withdrawn"],
            in_force_from=asked["in_force_from"],
            source=asked["source"],
            actor=self.person,
            request_id=asked["request_id"],
        )
        label = properties_of(self.material.kind)[made.property].label
        messages.success(self.request, f"{label}: {limits_of(made)}, from {made.in_force_from.isoformat()} on.")
        return reverse("material-limits", args=[self.kwargs["code"]])
