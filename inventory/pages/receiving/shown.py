"""A draft as its page shows it: its head, its newest lines, what is expected, and what is still to be put right."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from brewery.kernel.models import User
from brewery.kernel.templatetags.shell import percent, quantity
from inventory.models import Delivery, DeliveryLine, OrderLine
from inventory.pages.receiving.head import HeadForm, initial_of
from inventory.pages.receiving.lines import TELLING, LineForm
from inventory.pages.receiving.notes import NotesOfDraft, is_silo
from inventory.queries.deliveries import line_in_hand, lines_of, warnings_of
from inventory.queries.orders import Progress, outstanding_lines, progress_of
from inventory.queries.silos import states_of
from inventory.services.booking_faults import faults_of

LINES_A_PAGE = 20
MOST_FAULTS_LISTED = 12
TOGETHER = ("difference_reason", "contents_code")
"""Fields that stand with those that a line always shows as soon as something is to be said in them."""


@dataclass(frozen=True)
class LineShown:
    """One line: its form, how far it is off the note, and which of its fields are folded away."""

    form: LineForm
    difference: str
    telling: list[Any]
    folded: list[Any]
    is_open: bool
    is_in_hand: bool

    @property
    def line(self) -> DeliveryLine:
        """The line itself."""
        return self.form.line


@dataclass(frozen=True)
class ExpectedShown:
    """What is still to come of one order line, and how much of it this draft brings."""

    progress: Progress
    brings_micro: int


def draft_shown(draft: Delivery, person: User, to: int | None = None) -> dict[str, Any]:
    """Return what the page of a draft shows, with its lines from position `to` downwards, the newest first."""
    lines = list(lines_of(draft))
    page = [line for line in reversed(lines) if to is None or line.position <= to]
    shown = page[:LINES_A_PAGE]
    notes = NotesOfDraft(lines)
    notes.add_faults(faults_of(draft, lines), {**HeadForm.names, **LineForm.names})
    notes.add_warnings(warnings_of(draft, shown, lines))
    notes.add_silos(states_of(line.location for line in shown if is_silo(line.location)))
    ordered = list(outstanding_lines().filter(order__supplier=draft.supplier_id))
    found = line_in_hand(draft, person)
    in_hand = found[0].pk if found else None
    return {
        "draft": draft,
        "head": head_shown(draft, notes),
        "lines": [_line_shown(line, notes, ordered, in_hand) for line in shown],
        "count": len(lines),
        "older": page[LINES_A_PAGE].position if len(page) > LINES_A_PAGE else None,
        "is_newest": len(page) == len(lines),
        "expected": _expected(ordered, lines),
        "todo": notes.todo[:MOST_FAULTS_LISTED],
        "todo_count": len(notes.todo),
        "papers": list(draft.attachments.all()),
        "in_hand": next((line for line in lines if line.pk == in_hand), None),
    }


def head_shown(draft: Delivery, notes: NotesOfDraft) -> HeadForm:
    """Return the form of the head with what is to be said of it."""
    form = HeadForm(initial={**initial_of(draft), "version": draft.version}, auto_id="head-%s")
    said = notes.of(None)
    if not draft.same_note_confirmed and "same_note_confirmed" not in said.faults:
        del form.fields["same_note_confirmed"]
    form.note(said)
    return form


def _line_shown(
    line: DeliveryLine, notes: NotesOfDraft, ordered: Sequence[OrderLine], in_hand: int | None
) -> LineShown:
    said = notes.of(line.pk)
    own = [line.order_line] if line.order_line and line.order_line not in ordered else []
    form = LineForm(line=line, orders=[*ordered, *own])
    form.note(said)
    together = [name for name in TOGETHER if name in form.fields and (getattr(line, name) or form.errors.get(name))]
    telling = [*TELLING, *together]
    visible = [field for field in form.visible_fields() if field.name not in telling]
    return LineShown(
        form=form,
        difference=difference_of(line),
        telling=[form[name] for name in telling],
        folded=visible,
        is_open=any(field.errors or field.help_text for field in visible),
        is_in_hand=line.pk == in_hand,
    )


def difference_of(line: DeliveryLine) -> str:
    """Return how far the weight is off the note, in words; nothing where they agree or one is missing."""
    weighed, noted = line.quantity_micro, line.note_quantity_micro
    if weighed is None or not noted or weighed == noted:
        return ""
    more = "more" if weighed > noted else "less"
    off, share = abs(weighed - noted), percent(100 * abs(weighed - noted) / noted)
    tolerance = line.material.delivery_tolerance_ppm / 10_000
    return f"{quantity(off, line.material.base_unit)} ({share}) {more} than the note says; {tolerance:g} % is let pass."


def _expected(ordered: Sequence[Any], lines: Sequence[DeliveryLine]) -> list[ExpectedShown]:
    brings: dict[int | None, int] = defaultdict(int)
    for line in lines:
        brings[line.order_line_id] += line.quantity_micro or 0
    return [ExpectedShown(progress, brings[progress.line.pk]) for progress in progress_of(ordered)]
