"""What the page of a brew day shows."""

from typing import Any, ClassVar

from django.http import Http404
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import now
from brewery.kernel.pages.facts import Fact
from brewery.kernel.pages.writing import WritingForm, WritingPage
from brewery.kernel.templatetags.shell import moment_text, quantity
from brewery.production.models import Brew, LogEntry
from brewery.production.pages.brew_day.forms import DrawForm, ReturnForm, UndoForm, correction_of, log_form
from brewery.production.queries.brew_log import ShownLine, log_of
from brewery.production.queries.brewhouse import figures_of
from brewery.production.queries.drawn import Drawn, drawn_for
from brewery.production.queries.knocked_out import knocked_out
from brewery.production.queries.pick_lists import PickLine, pick_list_of
from brewery.production.queries.work import brews_with_contents
from brewery.science.units import format_micro
from inventory.models import Attachment
from inventory.pages.choices import offers
from inventory.pages.receiving.papers import PapersForm


class BrewDay(WritingPage, is_a_kind_of_page=True):
    """A page of one brew: what is to be drawn, what was, the log, the figures, photos and papers."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.BREW
    template_name = "production/brew_day/page.html"

    @property
    def brew(self) -> Brew:
        """The brew that the address names. Raises Http404."""
        code = self.kwargs["code"]
        rows = brews_with_contents().select_related("sheet__beer")
        found = None if "\x00" in code else rows.filter(code=code).first()
        if found is None:
            raise Http404(f"There is no brew {code}.")
        return found

    @property
    def address(self) -> str:
        """Where the page is."""
        return reverse("brew-day", args=[self.kwargs["code"]])

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        brew = self.brew
        is_open = self.may_write and vars(brew)["finished_by_id"] is None
        lines, log, drawn = pick_list_of(brew, now()), log_of(brew), drawn_for(brew)
        last_step = log[-1].entry.step if log else LogEntry.Step.MASH
        context = {
            "brew": brew,
            "facts": facts_of(brew),
            "is_open": is_open,
            "knocked_out": knocked_out(brew),
            "knock_out_undo": WritingForm(auto_id="undo-%s") if self.person.has_right(Right.REVERSE) else None,
            "may_write": self.may_write,
            "lines": [self._line(line, is_open) for line in lines],
            "free_draw": self._draw_form("free") if is_open else None,
            "drawn": [self._drawn(one, is_open) for one in drawn],
            "steps": self._steps(log),
            "log_form": log_form(brew, last_step) if self.may_write else None,
            "figures": figures_of(brew),
            "papers": Attachment.objects.filter(location=brew.location),
            "papers_form": PapersForm() if self.may_write else None,
            "offers": offers("materials", "places"),
            **kwargs,
        }
        return super().get_context_data(**context)

    def _line(self, line: PickLine, is_open: bool) -> dict[str, Any]:
        unit = line.wanted.material.base_unit
        picks = []
        for place, pick in enumerate(line.picks, 1):
            initial = {
                "lot": pick.lot.code,
                "location": pick.location.code,
                "quantity": format_micro(pick.quantity_micro, unit),
                "wanted": line.wanted.material.code,
            }
            form = self._draw_form(f"{line.wanted.key}-{place}", **initial) if is_open else None
            picks.append({"pick": pick, "form": form})
        other = self._draw_form(f"{line.wanted.key}-other", wanted=line.wanted.material.code) if is_open else None
        return {"line": line, "unit": unit, "picks": picks, "other": other}

    def _draw_form(self, name: str, **initial: str) -> DrawForm:
        may_override = self.person.has_right(Right.OVERRIDE)
        return DrawForm(initial=initial, auto_id=f"draw-{name}-%s", may_override=may_override)

    def _drawn(self, one: Drawn, is_open: bool) -> dict[str, Any]:
        name = f"{one.event.pk}-{one.lot.pk}-{one.taken_from.pk}"
        if not is_open:
            return {"drawn": one}
        initial = {"lot": one.lot.code, "location": one.taken_from.code}
        back = ReturnForm(initial=initial, auto_id=f"back-{name}-%s")
        undo = UndoForm(initial={"event": one.event.pk}, auto_id=f"undo-{name}-%s")
        return {"drawn": one, "back": back, "undo": undo if self.person.has_right(Right.REVERSE) else None}

    def _steps(self, log: list[ShownLine]) -> list[dict[str, Any]]:
        """Return the log by step, in the order of the day; a line that stands may be corrected."""
        by_step = []
        for step in LogEntry.Step:
            lines = [
                {"line": line, "form": correction_of(line.entry) if self.may_write and not line.is_replaced else None}
                for line in log
                if line.entry.step == step
            ]
            if lines:
                by_step.append({"label": step.label, "lines": lines})
        return by_step


def facts_of(brew: Brew) -> list[Fact]:
    """Return what is known of a brew, label by label."""
    facts = [Fact("Beer", brew.beer.name), Fact("Began", moment_text(brew.started_at))]
    if brew.sheet and brew.cold_wort_micro:
        facts += [Fact("Brewed by", str(brew.sheet)), Fact("Cold wort to come", quantity(brew.cold_wort_micro, "L"))]
    else:
        facts.append(Fact("Brewed by", "no sheet"))
    state = "knocked out" if vars(brew)["finished_by_id"] else "under way"
    return [*facts, Fact("State", state)]


def refused_part(title: str, form: WritingForm, action: str) -> dict[str, Any]:
    """Return what the page shows first of all when something was refused: the form again, with what is wrong."""
    return {"title": title, "form": form, "action": action}
