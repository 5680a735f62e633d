"""The list of packaging runs, the form that starts one, and the page of one run with all that is done there."""

from abc import ABC, abstractmethod
from collections.abc import Iterable
from typing import Any, ClassVar

from django.core.paginator import Paginator
from django.db.models import BooleanField, ExpressionWrapper, Q
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day, now
from brewery.kernel.errors import DomainError
from brewery.kernel.pages.facts import Fact
from brewery.kernel.pages.writing import FormPage, WritingForm, WritingPage, go_on
from brewery.kernel.templatetags.shell import moment_text, quantity
from brewery.production.models import PackagingRun
from brewery.production.pages.brew_day.forms import ReturnForm
from brewery.production.pages.cellar.cautions import GAS
from brewery.production.pages.packaging.forms import FillForm, FillUndoForm, FinishForm, RunDrawForm, RunForm
from brewery.production.queries.formats import filled_tanks, format_offered, formats_of, usual_store
from brewery.production.queries.packaging_figures import RunFigures, figures_of_run
from brewery.production.queries.work import next_run_code, runs_with_contents
from brewery.production.services.packaging import fill
from brewery.production.services.run_ends import finish_run, undo_fill
from brewery.production.services.work import draw_for, return_from, start_packaging_run
from inventory.models import Material
from inventory.pages.choices import offers
from inventory.queries.judgements import judgements_of
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
            "fill_form": self._fill_form(run, figures) if is_open else None,
            "shows_all_formats": self.shows_all_formats,
            "finish_form": FinishForm(run=run, auto_id="finish-%s") if is_open else None,
            "undo_form": FillUndoForm(auto_id="undo-%s") if may_undo else None,
            "filled": with_release(figures),
            "offers": offers("materials", "places", "stores"),
            **kwargs,
        }
        return super().get_context_data(**context)

    def _fill_form(self, run: PackagingRun, figures: RunFigures) -> FillForm:
        options = self.fill_options(run, figures)
        last = figures.fills[-1] if figures.fills else None
        formats, tanks = options["formats"], options["tanks"]
        of_beer = [row.location_id for row in tanks if row.lot.material_id == run.beer_id]
        material = last.lot.material if last else formats[0].material if len(formats) == 1 else None
        store = usual_store(material) if material else None
        initial = {
            "material": material.pk if material else None,
            "line": last.line if last else "",
            "tank_1": next((one.vessel_id for one in figures.tanks if last and one.fill_id == last.pk), None)
            or next(iter(of_beer), None),
            "location": store.code if store else "",
        }
        return FillForm(auto_id="fill-%s", initial=initial, **options)

    def fill_options(self, run: PackagingRun, figures: RunFigures) -> dict[str, Any]:
        """Return what a fill of the run is offered: its beer's formats or, if asked for, all; and what tanks hold."""
        tanks = filled_tanks(run.beer)
        line = figures.fills[-1].line if figures.fills else ""
        first = next((row for row in tanks if row.lot.material_id == run.beer_id), None)
        materials: Iterable[Material] = formats_of(run.beer)
        if self.shows_all_formats:
            materials = Material.objects.filter(kind=Material.Kind.PACKAGED).order_by("name", "pk")
        moment = now()
        formats = [format_offered(one, first, line, moment) for one in materials]
        return {"formats": formats, "tanks": tanks, "may_override": self.person.has_right(Right.OVERRIDE)}

    @property
    def shows_all_formats(self) -> bool:
        """Whether the formats of other beers are asked for."""
        return "all" in (self.request.GET.get("formats"), self.request.POST.get("formats"))


class RunPage(RunShown):
    """The run, to be looked at."""

    http_method_names = ("get", "head")


class RunWriting(RunShown, ABC, is_a_kind_of_page=True):
    """Takes one form of the page. What was refused comes back first on the page, with what is wrong."""

    http_method_names = ("post",)
    title: ClassVar[str]
    shown_as: ClassVar[str]
    """What the page calls the form; while the refused one is there, no second one is."""
    form_template: ClassVar[str] = "production/brew_day/form.html"

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
        again = {"title": self.title, "form": form, "action": request.path, "template": self.form_template}
        shown = self.get_context_data(refused=again, **{self.shown_as: None})
        return self.render_to_response(shown, status=400)


class RunDraws(RunWriting):
    """Draws crowns, bottles, kegs or labels."""

    write_right: ClassVar[Right] = Right.DRAW
    title = "Draw it again, put right"
    shown_as = "draw_form"

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
    shown_as = "return_form"

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
            contents_code=asked["contents_code"],
            unclean_reason=asked["unclean_reason"],
            actor=self.person,
            request_id=asked["request_id"],
        )


class RunFills(RunWriting):
    """Records a fill."""

    title = "Fill it again, put right"
    shown_as = "fill_form"
    form_template = "production/packaging/fill.html"

    def form_for(self, *data: Any, **options: Any) -> Any:
        """Return the form; who may override is asked for a reason."""
        run = self.run
        return FillForm(*data, **self.fill_options(run, figures_of_run(run)), **options)

    def write(self, form: Any) -> None:
        """Record it."""
        asked = form.cleaned_data
        names = (
            "material",
            "tanks",
            "counted",
            "location",
            "loss_micro",
            "still_to_come",
            "on_new_pallet",
            "gauge_reason",
        )
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
    shown_as = "undo_form"

    def form_for(self, *data: Any, **options: Any) -> Any:
        """Return the form."""
        return FillUndoForm(*data, **options)

    def write(self, form: Any) -> None:
        """Undo it."""
        undo_fill(run=self.run, actor=self.person, **form.cleaned_data)


class RunEnds(RunWriting):
    """Finishes the run."""

    title = "Finish it again, put right"
    shown_as = "finish_form"
    form_template = "production/packaging/finish.html"

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
            Fact("Lost in rejects", _share(figures.in_rejects_micro, figures)),
            Fact("Lost otherwise", _share(figures.other_loss_micro, figures)),
        ]
    if figures.hl_per_hour is not None:
        facts.append(Fact("Speed", f"{figures.hl_per_hour:.1f} hL/h"))
    return facts


def _share(loss_micro: int, figures: RunFigures) -> str:
    return f"{quantity(loss_micro, 'L')}, {100 * loss_micro / figures.out_of_tanks_micro:.1f} %"


def with_release(figures: RunFigures) -> list[dict[str, Any]]:
    """Return each fill with what stands against the release of its lot: results missing, or outside of their limits."""
    judged = judgements_of([one.lot for one in figures.fills], brewery_day())
    return [{"fill": one, "faults": judged[one.lot.pk].faults} for one in figures.fills]
