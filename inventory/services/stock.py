"""Parts of lots that go from place to place without becoming anything else."""

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.models import Location, Lot
from inventory.services.refusals import NothingToDo, WrongPlace

NO_NOUNS = (Location.Kind.PROCESS, Location.Kind.TRANSFORMED, Location.Kind.DESTROYED, Location.Kind.SENT_BACK)
"""The kinds of place whose words take no article."""


@dataclass(frozen=True)
class Part:
    """A quantity of one lot at one place."""

    lot: Lot
    location: Location
    quantity_micro: int


def refuse_no_lines(lines: Sequence[object], what: str) -> None:
    """Raise NothingToDo where a record has no lines."""
    if not lines:
        raise NothingToDo(what=what, field="lines")


def refuse_other_places(place: Location, kinds: Sequence[str], wanted: str, field: str = "location") -> None:
    """Raise WrongPlace unless the place is of one of `kinds`."""
    if place.kind not in kinds:
        raise WrongPlace(location=place, kind=_kind_words(place), wanted=wanted, field=field)


def _kind_words(place: Location) -> str:
    words = place.get_kind_display()
    return words if place.kind in NO_NOUNS else f"a {words}"
