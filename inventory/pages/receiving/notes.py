"""What is to be said of each field of a draft: what is wrong, what is missing, what to look at twice."""

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeGuard

from django.forms.utils import ErrorDict

from brewery.kernel.errors import DomainError
from brewery.kernel.pages.writing import WritingForm
from brewery.kernel.templatetags.shell import quantity
from inventory.models import DeliveryLine, Location
from inventory.queries.deliveries import Warned
from inventory.queries.silos import SiloState
from inventory.services.draft_refusals import Missing

_AT_LINE = re.compile(r"lines\[(\d+)\]\.(\w+)")
STILL_TO_GIVE = "Still to be given."

Where = int | None
"""The key of a line, or None for the head."""


class NotedForm(WritingForm):
    """A form that shows what is on record, with what is to be said of each field."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.noted = ErrorDict()
        self.above: list[str] = []

    @property
    def errors(self) -> ErrorDict:
        """What is wrong by field: with what was sent, or with what is on record."""
        return super().errors if self.is_bound else self.noted

    def note(self, said: "Notes") -> None:
        """The form shows each sentence beside its field, or in `above` where it has no such field."""
        for name, sentences in said.hints.items():
            if name in self.fields:
                self.fields[name].help_text = " ".join(sentences)
        for name, sentences in said.faults.items():
            if name in self.fields:
                place = self[name].auto_id
                self.noted[name] = self.error_class(sentences, renderer=self.renderer, field_id=place)
        everything = [*said.faults.items(), *said.hints.items()]
        self.above = [sentence for name, told in everything if name not in self.fields for sentence in told]


@dataclass
class Notes:
    """The sentences for each field of one form; the field "" stands for the whole."""

    faults: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    hints: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))


@dataclass(frozen=True)
class ToDo:
    """One thing that keeps the delivery from being booked, and the field where it is put right."""

    sentence: str
    position: int | None
    anchor: str


class NotesOfDraft:
    """All that is to be said of a draft, by line."""

    def __init__(self, lines: Sequence[DeliveryLine]) -> None:
        self.lines = lines
        self.todo: list[ToDo] = []
        self._of: dict[Where, Notes] = defaultdict(Notes)

    def of(self, where: Where) -> Notes:
        """Return the notes of a line, or of the head."""
        return self._of[where]

    def add_faults(self, faults: Iterable[DomainError], names: dict[str, str]) -> None:
        """What keeps the draft from being booked stands beside its fields. `names`: services' names to forms'."""
        for fault in faults:
            found = _AT_LINE.fullmatch(fault.field or "")
            line = self.lines[int(found[1])] if found else None
            name = found[2] if found else fault.field or ""
            name = names.get(name, name)
            notes = self.of(line.pk if line else None)
            if isinstance(fault, Missing):
                notes.hints[name].append(STILL_TO_GIVE)
            else:
                notes.faults[name].append(str(fault))
            anchor = f"line-{line.pk}-{name}" if line else f"head-{name}"
            self.todo.append(ToDo(str(fault), line.position if line else None, anchor))

    def add_warnings(self, warnings: Iterable[Warned]) -> None:
        """What should be looked at twice stands beside its field."""
        for warned in warnings:
            self.of(warned.line.pk if warned.line else None).hints[warned.field].append(warned.sentence)

    def add_silos(self, states: Mapping[int, SiloState]) -> None:
        """What a silo holds, and how much more fits, stands beside the place of each line that goes into it."""
        for line in self.lines:
            if line.location and line.location.pk in states:
                self.of(line.pk).hints["location"].append(silo_in_words(states[line.location.pk]))


def is_silo(place: Location | None) -> TypeGuard[Location]:
    """Return whether the place is a silo."""
    return place is not None and place.kind == Location.Kind.SILO


def silo_in_words(state: SiloState) -> str:
    """Return what a silo holds and takes, for people."""
    unit = state.silo.capacity_unit or (state.materials[0].base_unit if state.materials else "")
    held = " and ".join(str(material) for material in state.materials)
    holds = f"holds {quantity(state.held_micro, unit)} of {held}" if held else "is empty"
    room = "" if state.room_micro is None else f"; {quantity(state.room_micro, unit)} more fit"
    return f"{state.silo} {holds}{room}."
