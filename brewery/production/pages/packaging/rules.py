"""Rules of lot codes and best-before days: those set so far, and the form that sets one and shows what it gives."""

from typing import Any, ClassVar

from django import forms
from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day, now
from brewery.kernel.pages.access import Page
from brewery.kernel.pages.writing import FormPage, WritingForm, WritingPage
from brewery.production.models import PackagingRule
from brewery.production.pages.packaging.forms import DIGITS
from brewery.production.queries.packaging_codes import Preview, preview
from brewery.production.services.packaging_rules import LONGEST_LIFE, set_packaging_rule
from brewery.science.lot_patterns import LONGEST_CODE, TOKENS, Span
from brewery.science.ranges import OutOfRange
from inventory.models import Material

LONGEST_PATTERN = 80


class RuleForm(WritingForm):
    """A rule in force from a day on."""

    material = forms.ModelChoiceField(
        label="For",
        queryset=Material.objects.filter(kind=Material.Kind.PACKAGED).order_by("name"),
        required=False,
        empty_label="all without a rule of their own",
    )
    pattern = forms.CharField(
        label="Pattern",
        max_length=LONGEST_PATTERN,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "off", "spellcheck": "false"}),
        help_text=f"In braces: {', '.join(TOKENS)}. A digit is the width: {{number3}} is 001. "
        f"{LONGEST_CODE} characters at most are printed.",
    )
    has_l_prefix = forms.BooleanField(
        label="“L” before the code", required=False, help_text="As the law of the European Union marks a lot."
    )
    life = forms.IntegerField(
        label="Keeps for", min_value=1, max_value=LONGEST_LIFE, required=False, widget=forms.TextInput(attrs=DIGITS)
    )
    life_in = forms.ChoiceField(label="Counted in", choices=[(one.value, one.value) for one in Span])
    to_months_end = forms.BooleanField(label="To the end of that month", required=False)
    in_force_from = forms.DateField(
        label="In force from", widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
    )

    def previewed(self) -> Preview | None:
        """Return what the rule would give now; nothing where it can give nothing, which stands beside its field."""
        wanted = {"pattern", "has_l_prefix", "life", "life_in", "to_months_end"}
        read = getattr(self, "cleaned_data", {})
        if not wanted <= read.keys():
            return None
        try:
            return preview(read["pattern"], now(), **{name: read[name] for name in wanted - {"pattern"}})
        except OutOfRange as wrong:
            self.add_error("pattern", wrong.problem)
        except OverflowError:
            self.add_error("life", "Give a time of ten years at most.")
        return None


class RulesPage(WritingPage):
    """All rules ever set: those of one material together, the one in force first."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.SPECIFY
    template_name = "production/packaging/rules.html"
    http_method_names = ("get", "head")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        rows = PackagingRule.objects.select_related("material", "actor")
        ordered = rows.order_by("material__name", "material", "-in_force_from", "-pk")
        return super().get_context_data(rows=with_state(list(ordered)), may_write=self.may_write, **kwargs)


class NewRulePage(FormPage):
    """Sets a rule; asked for a preview it sets nothing, and shows what the rule would give."""

    right: ClassVar[Right] = Right.SPECIFY
    write_right: ClassVar[Right] = Right.SPECIFY
    template_name = "production/packaging/new_rule.html"

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form; an empty one is in force from today."""
        return RuleForm(*data) if data else RuleForm(initial={"in_force_from": brewery_day(), "life_in": Span.DAYS})

    def write(self, form: Any) -> str:
        """Set it, and go back to the list."""
        set_packaging_rule(actor=self.person, **form.cleaned_data)
        return reverse("packaging-rules")

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Set the rule, or only show what it would give."""
        if "preview" not in request.POST:
            return super().post(request, *args, **kwargs)
        form = RuleForm(request.POST)
        form.is_valid()
        shown = form.previewed()
        context = self.get_context_data(form=form, preview=shown)
        return self.render_to_response(context, status=200 if shown else 400)


class RulePreview(Page):
    """The part of the form's page that shows what a rule would give, while it is typed."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "production/packaging/rule_preview.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        form = RuleForm(self.request.GET)
        form.is_valid()
        shown = form.previewed()
        faults = [str(one) for name in ("pattern", "life") for one in form.errors.get(name, ())]
        fault = " ".join(faults) if self.request.GET.get("pattern") else ""
        return super().get_context_data(preview=shown, fault=fault, **kwargs)


def with_state(rows: list[PackagingRule]) -> list[dict[str, Any]]:
    """Return each rule with its state: in force, to come, or replaced. The rows of a material are newest first."""
    today, in_force, stated = brewery_day(), set(), []
    for row in rows:
        state = "to come"
        if row.in_force_from <= today:
            state = "replaced" if row.material_id in in_force else "in force"
            in_force.add(row.material_id)
        stated.append({"rule": row, "state": state})
    return stated
