"""Entries of a vertical audit: what each record says, of whatever sort it is."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from brewery.kernel.clock import on_the_wall
from brewery.kernel.models import User
from inventory.models import Event


class Sort(StrEnum):
    """What sort of record it is."""

    MOVEMENT = "movement"
    PAPERS = "papers"
    LINK = "link"
    DECISION = "decision"
    CERTIFICATE = "certificate"
    READING = "reading"
    CLEANING = "cleaning"
    PACKAGING = "packaging"
    SAMPLE = "retained sample"
    PICK = "pick"
    RETURN = "return"
    COUNT = "count"
    RESERVATION = "reservation"
    BREW_LOG = "brew log"
    ATTACHMENT = "attachment"
    SERVICE = "service"
    HOLD = "hold"
    RECALL = "recall"


@dataclass(frozen=True)
class Entry:
    """One record. `undone` says what became of it where it counts no longer; `event` is its place in the ledger."""

    happened_at: datetime
    recorded_at: datetime
    sort: Sort
    words: str
    who: str
    why: str = ""
    undone: str = ""
    event: int | None = None


def who(person: User | None) -> str:
    """Return the person's name; empty for nobody."""
    return (person.get_full_name() or person.get_username()) if person else ""


def undone_by(event: Event) -> str:
    """Return when the event was reversed, in words; empty where it stands."""
    undone = getattr(event, "reversed_by", None)
    return f"reversed on {on_the_wall(undone.recorded_at)}" if undone else ""


def of_event(event: Event, sort: Sort, words: str, why: str = "") -> Entry:
    """Return the entry of what an event recorded."""
    return Entry(
        event.happened_at, event.recorded_at, sort, words, who(event.actor), why, undone_by(event), event=event.pk
    )
