"""What is to be ordered: all that is reordered, one material with its stock ahead, and how it is reordered."""

from datetime import date, datetime, time
from typing import Any, ClassVar

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_zone
from brewery.kernel.drawing.time_chart import Level, Mark, Panel, Point, Span, TimeChart, draw
from brewery.kernel.errors import DomainError
from brewery.kernel.pages.access import Page
from brewery.kernel.pages.writing import FormPage, FormShown, WritingForm, go_on
from brewery.production.queries.reordering import Reorder, reorders
from brewery.production.services.reordering import draft_what_is_due
from brewery.science.typed import typed_micro
from brewery.science.units import MICRO, UnitError, format_micro
from inventory.models import Material, ReorderSetting
from inventory.pages.choices import SupplierField, offers
from inventory.queries.reorder_settings import setting_of
from inventory.services.reorder_settings import BOUGHT, set_reordering

HEIGHT = 240
_PER_CENT_PPM = 10_000


class DraftForm(WritingForm):
    """Which of what is due goes into drafts."""

    materials = forms.ModelMultipleChoiceField(
        queryset=Material.objects.filter(kind__in=BOUGHT), widget=forms.CheckboxSelectMultiple
    )


class ReorderingPage(FormShown):
    """All that is reordered: what is due first, then what is to be ordered soonest."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.RECEIVE
    template_name = "production/reordering/overview.html"
    form_class = DraftForm

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        rows = sorted(reorders(), key=lambda one: (not one.is_due, one.order_by or date.max, one.material.code))
        due = [one for one in rows if one.is_due]
        return super().get_context_data(rows=rows, may_write=self.may_write, may_draft=self.may_write and due, **kwargs)

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Put what was chosen into drafts; or show the page again with what is wrong."""
        form = self.new_form(request.POST)
        if form.is_valid():
            asked = form.cleaned_data
            try:
                draft_what_is_due(materials=list(asked["materials"]), actor=self.person, request_id=asked["request_id"])
                return go_on(reverse("order-drafts"))
            except DomainError as refused:
                form.refuse(refused)
        return self.render_to_response(self.get_context_data(form=form), status=400)


class ReorderMaterialPage(Page):
    """One material that is reordered, with its stock ahead."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "production/reordering/material.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        material = material_or_404(kwargs["material"])
        found = reorders([material])
        told = found[0] if found else None
        may_write = self.request.user.has_right(Right.RECEIVE)  # type: ignore[union-attr]
        return super().get_context_data(
            **{**kwargs, "material": material},
            told=told,
            svg=drawn(told) if told else "",
            weeks=told.ahead[::7] if told else (),
            may_write=may_write and material.kind in BOUGHT,
        )


class ReorderSettingForm(WritingForm):
    """How a material is reordered."""

    names = {"quantity_micro": "quantity", "pack_micro": "pack", "least_micro": "least", "service_ppm": "service"}

    supplier = SupplierField(label="Supplier")
    lead_days = forms.IntegerField(label="Days until it comes, as promised", min_value=0)
    review_days = forms.IntegerField(label="Days between two looks at it", min_value=0, initial=7)
    service = forms.DecimalField(
        label="How sure none runs out, %",
        initial=95,
        max_digits=6,
        decimal_places=4,
        help_text="For each order: 95 means that one in twenty may come too late.",
    )
    policy = forms.ChoiceField(label="Ordered", choices=ReorderSetting.Policy.choices)
    quantity = forms.CharField(label="That level, or that quantity", max_length=60)
    pack = forms.CharField(label="In packs of", required=False, max_length=60)
    least = forms.CharField(label="At least", required=False, max_length=60)
    is_ended = forms.BooleanField(label="It is reordered no longer", required=False)

    def __init__(self, material: Material, *data: Any, **options: Any) -> None:
        super().__init__(*data, **options)
        self.material = material

    def clean(self) -> dict[str, Any]:
        """Return what was typed in the words of the service. Adds what is wrong beside its field."""
        read = super().clean() or {}
        for name in ("quantity", "pack", "least"):
            text = read.pop(name, "")
            try:
                read[f"{name}_micro"] = typed_micro(text, self.material.base_unit) if text else None
            except UnitError as wrong:
                self.add_error(name, str(wrong))
        if read.get("service") is not None:
            read["service_ppm"] = int(read.pop("service") * _PER_CENT_PPM)
        return read


class ReorderSettingPage(FormPage):
    """The form that says how a material is reordered."""

    right: ClassVar[Right] = Right.RECEIVE
    write_right: ClassVar[Right] = Right.RECEIVE
    template_name = "production/reordering/setting.html"
    form_class = ReorderSettingForm

    @property
    def material(self) -> Material:
        """The material that the address names. Raises Http404."""
        return material_or_404(self.kwargs["material"])

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form, with what holds now where nothing was sent."""
        material = self.material
        return ReorderSettingForm(material, *data) if data else ReorderSettingForm(material, initial=_initial(material))

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(**{**kwargs, "material": self.material}, offers=offers("suppliers"))

    def write(self, form: Any) -> str:
        """Set it."""
        material = self.material
        set_reordering(material=material, actor=self.person, **form.cleaned_data)
        return reverse("reordering-material", args=[material.pk])


def _initial(material: Material) -> dict[str, Any]:
    there, unit = setting_of(material), material.base_unit
    if there is None:
        return {"review_days": 7, "service": 95}
    told = {"quantity": there.quantity_micro, "pack": there.pack_micro, "least": there.least_micro}
    return {
        "supplier": there.supplier,
        "lead_days": there.lead_days,
        "review_days": there.review_days,
        "service": f"{there.service_ppm / _PER_CENT_PPM:g}",
        "policy": there.policy,
        "is_ended": there.is_ended,
        **{name: f"{format_micro(micro, unit)} {unit}" for name, micro in told.items() if micro},
    }


def material_or_404(key: int) -> Material:
    """Return the material. Raises Http404."""
    found = Material.objects.filter(pk=key).first()
    if found is None:
        raise Http404(f"There is no material {key}.")
    return found


def drawn(told: Reorder) -> SafeString:
    """Return the stock ahead as a picture, with the safety stock across it and deliveries marked."""
    zone = brewery_zone()
    noons = [datetime.combine(one.day, time(12), zone) for one in told.ahead]
    unit = told.material.base_unit
    panel = Panel(
        "Stock ahead, with the safety stock",
        unit,
        HEIGHT,
        curve=[Point(at, one.stock) for at, one in zip(noons, told.ahead, strict=True)],
        band=[Span(at, one.low, one.high) for at, one in zip(noons, told.ahead, strict=True)],
        levels=[Level(noons[0], noons[-1], told.safety_micro / MICRO)],
    )
    coming = [at for at, one in zip(noons, told.ahead, strict=True) if one.comes]
    marks = [Mark(at, str(number), "addition") for number, at in enumerate(coming, 1)]
    chart = TimeChart(f"Stock of {told.material.name} ahead", noons[0], noons[-1], [panel], marks)
    # What is drawn is numbers of ours and words that the drawing has escaped.
    return mark_safe(draw(chart))  # noqa: S308
