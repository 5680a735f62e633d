"""What can be done from the page of a brew day: each address does one thing."""

from abc import ABC, abstractmethod
from typing import Any, ClassVar

from django.http import HttpRequest, HttpResponse

from brewery.kernel.access import Right
from brewery.kernel.errors import DomainError, NotFound
from brewery.kernel.pages.writing import WritingForm, go_on
from brewery.production.models import LogEntry
from brewery.production.pages.brew_day.forms import CorrectionForm, DrawForm, LogForm, ReturnForm, UndoForm
from brewery.production.pages.brew_day.page import BrewDay, refused_part
from brewery.production.queries.brew_log import log_entries
from brewery.production.services.brew_log import correct_log, write_in_log
from brewery.production.services.by_the_sheet import StandIn
from brewery.production.services.knock_outs import undo_knock_out
from brewery.production.services.work import draw_for, return_from
from inventory.models import Event
from inventory.pages.receiving.papers import PapersForm
from inventory.queries.registers import event_of
from inventory.services.attachments import keep_file
from inventory.services.reversals import reverse_event
from inventory.services.stock import Part

UNDONE = "drawn by mistake, undone at the brew"
KNOCK_OUT_UNDONE = "knocked out by mistake, undone at the brew"


class BrewDayPage(BrewDay):
    """The brew day, to be looked at."""

    http_method_names = ("get", "head")


class BrewDayWriting(BrewDay, ABC, is_a_kind_of_page=True):
    """Takes one form of the page. What was refused comes back first on the page, with what is wrong."""

    http_method_names = ("post",)
    title: ClassVar[str]
    form_class: ClassVar[type[WritingForm]]

    def form_for(self) -> Any:
        """Return the form with what was sent."""
        return self.form_class(self.request.POST, self.request.FILES, auto_id="again-%s")

    @abstractmethod
    def write(self, form: Any) -> None:
        """Call the service with what the form holds. Raises DomainError."""

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Write, and show the page again; or say what is wrong."""
        form = self.form_for()
        if form.is_valid():
            try:
                self.write(form)
                return go_on(self.address)
            except DomainError as refused:
                form.refuse(refused)
        again = refused_part(self.title, form, request.path)
        return self.render_to_response(self.get_context_data(refused=again), status=400)


class BrewDraws(BrewDayWriting):
    """Draws a lot."""

    write_right: ClassVar[Right] = Right.DRAW
    title = "Draw it again, put right"
    form_class = DrawForm

    def form_for(self) -> Any:
        """Return the form; who may override is asked for a reason."""
        may_override = self.person.has_right(Right.OVERRIDE)
        return DrawForm(self.request.POST, auto_id="again-%s", may_override=may_override)

    def write(self, form: Any) -> None:
        """Draw it, in place of what the line wants where the material is another."""
        asked = form.cleaned_data
        lot, wanted, reason = asked["lot"], asked["wanted"], asked["reason"]
        facts: dict[str, Any] = {}
        if wanted and wanted.pk != lot.material_id:
            facts["stands_in"] = [StandIn(wanted, lot, reason)]
        if asked["completes"]:
            facts["completes"] = [wanted or lot.material]
        draw_for(
            work=self.brew,
            parts=[Part(lot, asked["location"], asked["quantity_micro"])],
            happened_at=asked["happened_at"],
            override_reason=asked.get("override_reason", ""),
            reason=reason,
            actor=self.person,
            request_id=asked["request_id"],
            **facts,
        )


class BrewReturns(BrewDayWriting):
    """Brings something back into the stock."""

    write_right: ClassVar[Right] = Right.DRAW
    title = "Bring it back, put right"
    form_class = ReturnForm

    def write(self, form: Any) -> None:
        """Bring it back."""
        asked = form.cleaned_data
        return_from(
            work=self.brew,
            parts=[Part(asked["lot"], asked["location"], asked["quantity_micro"])],
            happened_at=asked["happened_at"],
            reason=asked["reason"],
            contents_code=asked["contents_code"],
            unclean_reason=asked["unclean_reason"],
            actor=self.person,
            request_id=asked["request_id"],
        )


class BrewUndos(BrewDayWriting):
    """Undoes a draw."""

    write_right: ClassVar[Right] = Right.REVERSE
    title = "It could not be undone"
    form_class = UndoForm

    def write(self, form: Any) -> None:
        """Reverse the draw, which must be one for this brew."""
        asked = form.cleaned_data
        event = event_of(asked["event"])
        drawn = event and event.kind == Event.Kind.DRAW and event.postings.filter(to_location=self.brew.location)
        if event is None or not drawn:
            raise NotFound(thing="draw of this brew", code=asked["event"])
        reverse_event(event=event, reason=UNDONE, actor=self.person, request_id=asked["request_id"])


class BrewKnockOutUndo(BrewDayWriting):
    """Undoes the knock-out, and first what it blended into occupied tanks."""

    write_right: ClassVar[Right] = Right.REVERSE
    title = "The knock-out could not be undone"
    form_class = WritingForm

    def write(self, form: Any) -> None:
        """Undo it."""
        request_id = form.cleaned_data["request_id"]
        undo_knock_out(brew=self.brew, reason=KNOCK_OUT_UNDONE, actor=self.person, request_id=request_id)


class BrewLogLines(BrewDayWriting):
    """Writes into the log."""

    title = "Write it again, put right"
    form_class = LogForm

    def write(self, form: Any) -> None:
        """Write it."""
        asked = form.cleaned_data
        write_in_log(
            brew=self.brew,
            line=asked["line"],
            happened_at=asked["happened_at"],
            actor=self.person,
            request_id=asked["request_id"],
        )


class BrewLogCorrections(BrewDayWriting):
    """Corrects a line of the log."""

    title = "Correct it again, put right"
    form_class = CorrectionForm

    def write(self, form: Any) -> None:
        """Correct it. Raises NotFound for a line of another brew."""
        asked = form.cleaned_data
        entry: LogEntry | None = log_entries().filter(brew=self.brew, pk=self.kwargs["entry"]).first()
        if entry is None:
            raise NotFound(thing="line of this log", code=self.kwargs["entry"])
        correct_log(
            entry=entry,
            line=asked["line"],
            happened_at=asked["happened_at"],
            reason=asked["reason"],
            actor=self.person,
            request_id=asked["request_id"],
        )


class BrewPapers(BrewDayWriting):
    """Adds photos and papers."""

    title = "Choose the files again"
    form_class = PapersForm

    def write(self, form: Any) -> None:
        """Keep each file."""
        place = self.brew.location
        for content, name, request_id in form.each():
            keep_file(content=content, name=name, location=place, actor=self.person, request_id=request_id)
