"""The list of packaging runs, the form that starts one, and the page of one run with all that is done there."""

from abc import ABC, abstractmethod
from typing import Any, ClassVar

from django.core.paginator import Paginator
from django.db.models import BooleanField, ExpressionWrapper, Q
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import now
from brewery.kernel.errors import DomainError
from brewery.kernel.pages.facts import Fact
from brewery.kernel.pages.writing import FormPage, WritingForm, WritingPage, go_on
from brewery.kernel.templatetags.shell import moment_text, quantity
from brewery.production.models import PackagingRun
from brewery.production.pages.brew_day.forms import ReturnForm
from brewery.production.pages.cellar.cautions import GAS
from brewery.production.pages.packaging.forms import FillForm, FillUndoForm, FinishForm, RunDrawForm, RunForm
from brewery.production.queries.packaging_codes import best_before_for, next_codes
from brewery.production.queries.packaging_figures import RunFigures, figures_of_run
from brewery.production.queries.work import next_run_code, runs_with_contents
from brewery.production.services.packaging import fill
from brewery.production.services.run_ends import finish_run, undo_fill
from brewery.production.services.work import draw_for, return_from, start_packaging_run
from brewery.science.lot_patterns import Filled
from inventory.models import Material
from inventory.pages.choices import offers
from inventory.services.stock import Part

ON_A_PAGE = 50
_IS_UNDER_WAY = ExpressionWrapper(Q(finished_by_id=None), output_field=BooleanField())


class RunsPage(WritingPage):
    """Packaging runs: those under way first, then the last begun."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.PACKAGE
    template_name = "production/packaging/runs.html"
    http_method_names = ("get", "head")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        rows = runs_with_contents().order_by(_IS_UNDER_WAY.desc(), "-started_at", "code")
        page = Paginator(rows, ON_A_PAGE).get_page(self.request.GET.get("page"))
        return super().get_context_data(
            rows=page.object_list,
            may_write=self.may_write,
            previous_url=f"?page={page.previous_page_number()}" if page.has_previous() else None,
            next_url=f"?page={page.next_page_number()}" if page.has_next() else None,
            **kwargs,
        )


class NewRunPage(FormPage):
    """Starts a packaging run."""

    right: ClassVar[Right] = Right.PACKAGE
    write_right: ClassVar[Right] = Right.PACKAGE
    template_name = "production/packaging/new.html"

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form; an empty one proposes the next code."""
        return RunForm(*data) if data else RunForm(initial={"code": next_run_code()})

    def write(self, form: Any) -> str:
        """Start it, and go on to its page."""
        return reverse("packaging-run", args=[start_packaging_run(actor=self.person, **form.cleaned_data).code])


class RunShown(WritingPage, is_a_kind_of_page=True):
    """A page of one run: draw, fill, undo, finish, figures."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.PACKAGE
    template_name = "production/packaging/run.html"

    @property
    def run(self) -> PackagingRun:
        """The run that the address names. Raises Http404."""
        code = self.kwargs["code"]
        found = None if "\x00" in code else runs_with_contents().filter(code=code).first()
        if found is None:
            raise Http404(f"There is no packaging run {code}.")
        return found

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        run = self.run
        figures = figures_of_run(run)
        is_open = self.may_write and vars(run)["finished_by_id"] is None
        may_override = self.person.has_right(Right.OVERRIDE)
        may_undo = figures.fills and self.person.has_right(Right.REVERSE)
        context = {
            "run": run,
            "facts": facts_of(run, figures),
            "figures": figures,
            "caution": GAS,
            "is_open": is_open,
            "lying": run.location.balances.all(),
            "draw_form": RunDrawForm(auto_id="draw-%s", may_override=may_override) if is_open else None,
            "return_form": ReturnForm(auto_id="back-%s") if is_open else None,
            "fill_form": self._fill_form(figures, may_override) if is_open else None,
            "finish_form": FinishForm(run=run, auto_id="finish-%s") if is_open else None,
            "undo_form": FillUndoForm(auto_id="undo-%s") if may_undo else None,
            "proposals": proposals(run, figures) if is_open else [],
            "offers": offers("materials", "places", "stores"),
            **kwargs,
        }
        return super().get_context_data(**context)

    def _fill_form(self, figures: RunFigures, may_override: bool) -> FillForm:
        initial: dict[str, Any] = {}
        if figures.fills:
            last = figures.fills[-1]
            initial = {"material": last.lot.material_id, "line": last.line}
            initial["tank_1"] = next((one.vessel_id for one in figures.tanks if one.fill_id == last.pk), None)
        return FillForm(auto_id="fill-%s", may_override=may_override, initial=initial)


class RunPage(RunShown):
    """The run, to be looked at."""

    http_method_names = ("get", "head")


class RunWriting(RunShown, ABC, is_a_kind_of_page=True):
    """Takes one form of the page. What was refused comes back first on the page, with what is wrong."""

    http_method_names = ("post",)
    title: ClassVar[str]

    @abstractmethod
    def form_for(self, *data: Any, **options: Any) -> Any:
        """Return the form with what was sent."""

    @abstractmethod
    def write(self, form: Any) -> None:
        """Call the service with what the form holds. Raises DomainError."""

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Write, and show the page again; or say what is wrong."""
        form = self.form_for(request.POST, auto_id="again-%s")
        if form.is_valid():
            try:
                self.write(form)
                return go_on(reverse("packaging-run", args=[self.kwargs["code"]]))
            except DomainError as refused:
                form.refuse(refused)
        again = {"title": self.title, "form": form, "action": request.path}
        return self.render_to_response(self.get_context_data(refused=again), status=400)


class RunDraws(RunWriting):
    """Draws crowns, bottles, kegs or labels."""

    write_right: ClassVar[Right] = Right.DRAW
    title = "Draw it again, put right"

    def form_for(self, *data: Any, **options: Any) -> Any:
        """Return the form; who may override is asked for a reason."""
        return RunDrawForm(*data, may_override=self.person.has_right(Right.OVERRIDE), **options)

    def write(self, form: Any) -> None:
        """Draw it."""
        asked = form.cleaned_data
        draw_for(
            work=self.run,
            parts=[Part(asked["lot"], asked["location"], asked["quantity_micro"])],
            happened_at=asked["happened_at"],
            override_reason=asked.get("override_reason", ""),
            reason=asked["reason"],
            actor=self.person,
            request_id=asked["request_id"],
        )


class RunReturns(RunWriting):
    """Brings something back into the stock."""

    write_right: ClassVar[Right] = Right.DRAW
    title = "Bring it back, put right"

    def form_for(self, *data: Any, **options: Any) -> Any:
        """Return the form."""
        return ReturnForm(*data, **options)

    def write(self, form: Any) -> None:
        """Bring it back."""
        asked = form.cleaned_data
        return_from(
            work=self.run,
            parts=[Part(asked["lot"], asked["location"], asked["quantity_micro"])],
            happened_at=asked["happened_at"],
            reason=asked["reason"],
            actor=self.person,
            request_id=asked["request_id"],
        )


class RunFills(RunWriting):
    """Records a fill."""

    title = "Fill it again, put right"

    def form_for(self, *data: Any, **options: Any) -> Any:
        """Return the form; who may override is asked for a reason."""
        return FillForm(*data, may_override=self.person.has_right(Right.OVERRIDE), **options)

    def write(self, form: Any) -> None:
        """Record it."""
        asked = form.cleaned_data
        names = ("material", "tanks", "counted", "location", "loss_micro", "still_to_come", "on_new_pallet")
        fill(
            run=self.run,
            happened_at=asked["happened_at"],
            override_reason=asked.get("override_reason", ""),
            actor=self.person,
            request_id=asked["request_id"],
            **{name: asked[name] for name in names},
        )


class RunUndos(RunWriting):
    """Undoes the last fill."""

    write_right: ClassVar[Right] = Right.REVERSE
    title = "It could not be undone"

    def form_for(self, *data: Any, **options: Any) -> Any:
        """Return the form."""
        return FillUndoForm(*data, **options)

    def write(self, form: Any) -> None:
        """Undo it."""
        undo_fill(run=self.run, actor=self.person, **form.cleaned_data)


class RunEnds(RunWriting):
    """Finishes the run."""

    title = "Finish it again, put right"

    def form_for(self, *data: Any, **options: Any) -> Any:
        """Return the form with a field for each lot that lies in the run."""
        return FinishForm(*data, run=self.run, **options)

    def write(self, form: Any) -> None:
        """Finish it."""
        names = ("returns", "loss_reason", "happened_at", "request_id")
        finish_run(run=self.run, actor=self.person, **{name: form.cleaned_data[name] for name in names})


def facts_of(run: PackagingRun, figures: RunFigures) -> list[Fact]:
    """Return what is known of a run, label by label."""
    state = "finished" if vars(run)["finished_by_id"] else "under way"
    facts = [Fact("Beer", run.beer.name), Fact("Began", moment_text(run.started_at)), Fact("State", state)]
    if figures.fills:
        facts += [
            Fact("Filled", f"{figures.count} good, {figures.rejects} rejects"),
            Fact("Out of the tanks", quantity(figures.out_of_tanks_micro, "L")),
            Fact("In packages", f"{quantity(figures.in_packages_micro, 'L')}, {figures.yield_pct:.1f} %"),
            Fact("Lost in rejects", quantity(figures.in_rejects_micro, "L")),
            Fact("Lost otherwise", quantity(figures.other_loss_micro, "L")),
        ]
    if figures.hl_per_hour is not None:
        facts.append(Fact("Speed", f"{figures.hl_per_hour:.1f} hL/h"))
    return facts


def proposals(run: PackagingRun, figures: RunFigures) -> list[dict[str, Any]]:
    """Return the next code and best-before day of what the run fills, or may fill."""
    line = figures.fills[-1].line if figures.fills else ""
    tank = figures.tanks[-1].vessel.code if figures.tanks else ""
    materials = list({one.lot.material_id: one.lot.material for one in figures.fills}.values())
    moment = now()
    return [
        {
            "material": material,
            "code": next(iter(next_codes(material, Filled(moment, line, tank), 1)), ""),
            "best_before": best_before_for(material, moment),
        }
        for material in materials or Material.objects.filter(kind=Material.Kind.PACKAGED)[:3]
    ]
