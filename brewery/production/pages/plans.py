"""The calendar of brews: what is planned by week and vessel, what is short, what can be brewed, and each plan."""

from abc import ABC, abstractmethod
from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import Any, ClassVar

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone

from brewery.kernel.access import Right
from brewery.kernel.errors import DomainError
from brewery.kernel.pages.days import DayInput
from brewery.kernel.pages.facts import Fact
from brewery.kernel.pages.moments import HappenedForm
from brewery.kernel.pages.writing import FormPage, WritingForm, WritingPage, go_on
from brewery.kernel.templatetags.shell import day_text, quantity
from brewery.production.models import BrewPlan, BrewSheet
from brewery.production.queries.needs import brewable, needs_of, open_plans, plans, shortages
from brewery.production.services.plans import call_off_plan, change_plan, plan_brew, reserve_for_plan, start_plan
from brewery.science.typed import typed_micro
from brewery.science.units import UnitError, format_micro
from inventory.models import Reservation
from inventory.pages.choices import TankChoiceField

WEEKS = 4
DAYS = 7


class PlanForm(WritingForm):
    """What is brewed, when, how much of it, and where it goes."""

    names: ClassVar[Mapping[str, str]] = {"plan": "", "revision": ""}

    sheet = forms.ModelChoiceField(
        label="Brew sheet",
        queryset=BrewSheet.objects.filter(state=BrewSheet.State.IN_USE).select_related("beer"),
    )
    brew_on = forms.DateField(label="Day", widget=DayInput)
    cold_wort = forms.CharField(
        label="Cold wort",
        required=False,
        max_length=60,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        help_text="In litres, or with a unit; left empty it is what the sheet says.",
    )
    vessel = TankChoiceField(label="Into", required=False)

    def clean(self) -> dict[str, Any]:
        """Return what was typed with `cold_wort_micro`. Adds what is wrong beside its field."""
        read = super().clean() or {}
        text = read.pop("cold_wort", "")
        if text:
            try:
                read["cold_wort_micro"] = typed_micro(text, "L")
            except UnitError as wrong:
                self.add_error("cold_wort", str(wrong))
        return read


class NewPlanForm(PlanForm):
    """A brew to plan."""

    code = forms.CharField(label="Brew code", max_length=20)
    field_order = ("request_id", "code")


class ChangeForm(PlanForm):
    """What of a plan is changed, as it was seen."""

    revision = forms.IntegerField(widget=forms.HiddenInput)


class StartForm(HappenedForm):
    """When the brew began."""

    names: ClassVar[Mapping[str, str]] = {"started_at": "happened_at", "plan": ""}


class CallOffForm(WritingForm):
    """Why the brew will not be."""

    names: ClassVar[Mapping[str, str]] = {"plan": ""}

    reason = forms.CharField(label="Why it is called off", max_length=200)


class KeepForm(WritingForm):
    """Nothing but the wish to keep what the plan needs."""

    names: ClassVar[Mapping[str, str]] = {"plan": "", "lot": "", "quantity": ""}


class PlansPage(FormPage):
    """The calendar by week and vessel, with what is short and what can be brewed; and the form that plans a brew."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.BREW
    template_name = "production/plans.html"
    form_class = NewPlanForm

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        wanting = open_plans()
        return super().get_context_data(
            weeks=weeks_of(wanting, timezone.localdate()),
            shortages=shortages(wanting),
            brewable=brewable(),
            may_write=self.may_write,
            **kwargs,
        )

    def write(self, form: Any) -> str:
        """Plan the brew."""
        plan = plan_brew(actor=self.person, **form.cleaned_data)
        return reverse("plan", args=[plan.code])


class PlanShown(WritingPage, is_a_kind_of_page=True):
    """One plan: what it needs, what is kept for it, and what can be done with it."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.BREW
    template_name = "production/plan.html"

    @property
    def plan(self) -> BrewPlan:
        """The plan that the address names. Raises Http404."""
        code = self.kwargs["code"]
        found = None if "\x00" in code else plans().filter(code=code).first()
        if found is None:
            raise Http404(f"There is no plan {code}.")
        return found

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        plan = self.plan
        is_open = plan.state == BrewPlan.State.PLANNED
        context = {
            "plan": plan,
            "facts": facts_of(plan),
            "needs": needs_of([plan]) if is_open else [],
            "kept": Reservation.objects.filter(purpose=plan.code, let_go_at=None).select_related("lot__material"),
            "may_write": is_open and self.may_write,
            "change_form": change_form_of(plan),
            "keep_form": KeepForm(auto_id="keep-%s"),
            "start_form": StartForm(auto_id="start-%s"),
            "call_off_form": CallOffForm(auto_id="off-%s"),
            **kwargs,
        }
        return super().get_context_data(**context)


class PlanPage(PlanShown):
    """One plan, to be looked at."""

    http_method_names = ("get", "head")


class PlanWriting(PlanShown, ABC, is_a_kind_of_page=True):
    """Takes one form of the page; what was refused comes back in its place."""

    http_method_names = ("post",)
    form_class: ClassVar[type[WritingForm]]
    name: ClassVar[str]

    @abstractmethod
    def write(self, plan: BrewPlan, form: Any) -> str:
        """Call the service and return where to go on. Raises DomainError."""

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Write, and go on; or say what is wrong."""
        form = self.form_class(request.POST)
        if form.is_valid():
            try:
                return go_on(self.write(self.plan, form))
            except DomainError as refused:
                form.refuse(refused)
        return self.render_to_response(self.get_context_data(**{self.name: form}), status=400)


class PlanChange(PlanWriting):
    """Changes a plan."""

    form_class = ChangeForm
    name = "change_form"

    def write(self, plan: BrewPlan, form: Any) -> str:
        """Change it, as it was seen."""
        changes = dict(form.cleaned_data)
        request_id, revision = changes.pop("request_id"), changes.pop("revision")
        change_plan(plan=plan, revision=revision, changes=changes, actor=self.person, request_id=request_id)
        return reverse("plan", args=[plan.code])


class PlanKeeping(PlanWriting):
    """Keeps stock for a plan."""

    form_class = KeepForm
    name = "keep_form"

    def write(self, plan: BrewPlan, form: Any) -> str:
        """Keep it."""
        reserve_for_plan(plan=plan, actor=self.person, request_id=form.cleaned_data["request_id"])
        return reverse("plan", args=[plan.code])


class PlanStart(PlanWriting):
    """Starts the brew."""

    form_class = StartForm
    name = "start_form"

    def write(self, plan: BrewPlan, form: Any) -> str:
        """Start it, and go on to the brew day."""
        asked = form.cleaned_data
        start_plan(plan=plan, started_at=asked["happened_at"], actor=self.person, request_id=asked["request_id"])
        return reverse("brew-day", args=[plan.code])


class PlanCallOff(PlanWriting):
    """Calls the brew off."""

    form_class = CallOffForm
    name = "call_off_form"

    def write(self, plan: BrewPlan, form: Any) -> str:
        """Call it off."""
        call_off_plan(plan=plan, actor=self.person, **form.cleaned_data)
        return reverse("plan", args=[plan.code])


def weeks_of(wanting: Sequence[BrewPlan], today: date) -> list[dict[str, Any]]:
    """Return the weeks from this one on, each with its days and a row a vessel; the last plan is still shown."""
    first = today - timedelta(days=today.weekday())
    last = max([plan.brew_on for plan in wanting] + [first + timedelta(days=DAYS * WEEKS - 1)])
    late = [plan for plan in wanting if plan.brew_on < first]
    start = min([first, *(plan.brew_on - timedelta(days=plan.brew_on.weekday()) for plan in late)])
    weeks = []
    for monday in (start + timedelta(days=DAYS * week) for week in range((last - start).days // DAYS + 1)):
        days = [monday + timedelta(days=day) for day in range(DAYS)]
        rows: dict[str, dict[date, list[BrewPlan]]] = defaultdict(lambda: defaultdict(list))
        for plan in wanting:
            if plan.brew_on in days:
                rows[plan.vessel.name if plan.vessel else "no vessel yet"][plan.brew_on].append(plan)
        cells = [{"vessel": vessel, "days": [row[day] for day in days]} for vessel, row in sorted(rows.items())]
        weeks.append({"monday": monday, "days": days, "rows": cells})
    return weeks


def facts_of(plan: BrewPlan) -> list[Fact]:
    """Return what is known of a plan, label by label."""
    facts = [
        Fact("Brewed by", str(plan.sheet)),
        Fact("Day", day_text(plan.brew_on)),
        Fact("Cold wort", quantity(plan.cold_wort_micro, "L")),
        Fact("Into", plan.vessel.name if plan.vessel else ""),
        Fact("State", plan.get_state_display()),
    ]
    if plan.called_off_because:
        facts.append(Fact("Why", plan.called_off_because))
    if plan.brew:
        facts.append(Fact("Brew", plan.brew.code, reverse("brew-day", args=[plan.brew.code])))
    return facts


def change_form_of(plan: BrewPlan) -> ChangeForm:
    """Return the form that changes the plan, filled with what it says."""
    initial = {
        "sheet": plan.sheet_id,
        "brew_on": plan.brew_on,
        "cold_wort": format_micro(plan.cold_wort_micro, "L"),
        "vessel": plan.vessel_id,
        "revision": plan.revision,
    }
    form = ChangeForm(initial=initial, auto_id="change-%s")
    vessel: Any = form.fields["vessel"]
    vessel.keep = plan.vessel_id
    return form
