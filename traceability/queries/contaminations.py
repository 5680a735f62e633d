"""What a contamination of a culture or of a tank may have reached."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from brewery.kernel.errors import InvalidInput, NotFound
from inventory.models import Link, Location, Lot
from inventory.queries.registers import lot_of, place_of
from inventory.queries.vessels import occupations_of, state_of
from traceability.queries.families import Family, family_of


@dataclass(frozen=True)
class Contamination:
    """What is contaminated, the lots that it starts from, and all that it may have reached over links of these kinds.

    `since` is from when on the vessel counts as contaminated: a moment asked for, or its last cleaning; None where
    neither is on record, or where a lot was named.
    """

    subject: Lot | Location
    since: datetime | None
    starts: Sequence[Lot]
    kinds: frozenset[Link.Kind]
    family: Family

    @property
    def reason(self) -> str:
        """What a hold on it says."""
        what = "tank or brink" if isinstance(self.subject, Location) else "lot"
        return f"Contamination of {what} {self.subject.code}."


def contamination_of(
    code: str, *, since: datetime | None = None, with_ingredient: bool = True, field: str = "of"
) -> Contamination:
    """Return what a contamination of the lot or the vessel of that code may have reached, as it is now.

    It is passed on by culture and by residue; `with_ingredient` follows also what was made of a reached lot: the beer
    that a culture was pitched into, and its packages. Of a vessel it starts from every lot that lay there after
    `since`, or after the last cleaning. Raises NotFound, InvalidInput.
    """
    kinds = frozenset(kind for kind in Link.Kind if with_ingredient or kind != Link.Kind.INGREDIENT)
    subject = lot_of(code) or place_of(code)
    if isinstance(subject, Lot):
        since, starts = None, [subject]
    elif subject is None:
        raise NotFound(thing="lot or vessel", code=code, field=field)
    elif subject.kind not in Location.VESSELS:
        raise InvalidInput(field=field, value=code, problem="Name a lot, a tank, a silo or a brink.")
    else:
        since = since or _last_cleaned(subject)
        starts = lots_lying_since(subject, since)
    return Contamination(subject, since, starts, kinds, family_of({one.pk for one in starts}, kinds))


def lots_lying_since(vessel: Location, since: datetime | None) -> list[Lot]:
    """Return the lots that lay in the vessel after a moment, or ever; each once, in the order in which they came."""
    lay = [stay.lot for stay in occupations_of(vessel) if since is None or stay.until is None or stay.until > since]
    return list(dict.fromkeys(lay))


def _last_cleaned(vessel: Location) -> datetime | None:
    cleaned = state_of(vessel).cleaned
    return cleaned.happened_at if cleaned else None
