"""What was done in a recall, in order of time: opened, judged, asked, noted, done, closed."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from brewery.kernel.models import User
from traceability.models import Recall, RecallCheck
from traceability.models.recalls import Written
from traceability.queries.report import in_words


@dataclass(frozen=True)
class Done:
    """One thing that was done in a recall."""

    at: datetime
    words: str
    who: str


def timeline_of(recall: Recall) -> list[Done]:
    """Return all that was done, the oldest first."""
    told = (_opening(recall), _classes(recall), _checks(recall), _notes(recall), _tasks(recall), _closing(recall))
    return sorted((one for part in told for one in part), key=lambda one: one.at)


def name_of(person: User) -> str:
    """Return what people call the person."""
    return person.get_full_name() or person.get_username()


def _done(row: Written, words: str) -> Done:
    return Done(row.written_at, words, name_of(row.actor))


def _opening(recall: Recall) -> Iterator[Done]:
    drawn = f" The lot was drawn by chance, one of {recall.drawn_from}." if recall.drawn_from else ""
    yield _done(recall, f"{str(recall).capitalize()} opened.{drawn}")
    if recall.hold:
        yield _done(recall, f"{str(recall.hold).capitalize()} placed on the lots and on all that comes of them.")


def _classes(recall: Recall) -> Iterator[Done]:
    for row in recall.classes.select_related("actor"):
        yield _done(row, f"{row.get_value_display()}. Why: {row.reason}")


def _checks(recall: Recall) -> Iterator[Done]:
    for row in recall.checks.select_related("actor", "customer").prefetch_related("lots__lot__material"):
        how = f"reached, {row.spoke_with}" if row.is_reached else "not reached"
        yield _done(row, " ".join(part for part in (f"{row.customer} {how}.", _told(row), row.note) if part))


def _told(check: RecallCheck) -> str:
    parts = []
    for one in check.lots.all():
        unit = one.lot.material.base_unit
        holds, gone = in_words(one.holds_micro, unit), in_words(one.gone_micro, unit)
        parts.append(f"{one.lot}: holds {holds}, sold or used up {gone}.")
    return " ".join(parts)


def _notes(recall: Recall) -> Iterator[Done]:
    for row in recall.notes.select_related("actor"):
        yield _done(row, f"Note: {row.text}")


def _tasks(recall: Recall) -> Iterator[Done]:
    for row in recall.tasks.filter(done__isnull=False).select_related("done__actor"):
        note = f" ({row.done.note})" if row.done.note else ""
        yield _done(row.done, f"Done: {row.words}{note}")


def _closing(recall: Recall) -> Iterator[Done]:
    if closing := getattr(recall, "closing", None):
        why = f", because: {closing.reason}" if closing.reason else ""
        yield _done(closing, f"Closed{why}")
