"""What the contents of tanks are made of: every lot behind them, and the brews and pitches that they came from."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from django.db import connection

from brewery.kernel.database.sets import in_set
from brewery.production.models import Brew
from inventory.models import Event, Lot, Posting

_BEHIND = """
WITH RECURSIVE behind(contents, id) AS (
    SELECT id, id FROM inventory_lot WHERE {contents}
    UNION
    SELECT behind.contents, link.parent_id
      FROM behind
      JOIN inventory_link link ON link.child_id = behind.id
     WHERE link.reversed_by_id IS NULL
)
SELECT contents, id FROM behind
"""


@dataclass(frozen=True)
class Origin:
    """One brew in the contents of a tank, and when its wort was knocked out."""

    brew: Brew
    knocked_out_at: datetime


@dataclass(frozen=True)
class Beginnings:
    """The brews in the contents of a tank, the oldest first, and when yeast was first pitched into any of it."""

    origins: tuple[Origin, ...]
    pitched_at: datetime | None

    @property
    def began_at(self) -> datetime | None:
        """When fermentation began: at the pitch, or at the knock-out while there is none on record."""
        return self.pitched_at or (self.origins[0].knocked_out_at if self.origins else None)


def lots_behind(contents: Collection[int]) -> dict[int, set[int]]:
    """Return by lot all lots that are in it or have met it, itself among them; one statement for all."""
    condition, values = in_set("id", contents)
    behind: dict[int, set[int]] = defaultdict(set)
    with connection.cursor() as cursor:
        cursor.execute(_BEHIND.format(contents=condition), values)
        for lot, found in cursor.fetchall():
            behind[lot].add(found)
    return behind


def beginnings_of(contents: Collection[int]) -> dict[int, Beginnings]:
    """Return by lot where it came from; five statements however many."""
    behind = lots_behind(contents)
    lots = {key for found in behind.values() for key in found}
    kinds = (Event.Kind.KNOCK_OUT, Event.Kind.PITCH)
    made = list(Lot.objects.filter(pk__in=lots, made_by__kind__in=kinds).select_related("made_by").order_by("made_at"))
    brews = _brews_by_knock_out([lot.made_by_id for lot in made])
    return {key: _beginnings([lot for lot in made if lot.pk in found], brews) for key, found in behind.items()}


def allergens_in(contents: Collection[int]) -> set[str]:
    """Return the codes of the allergens that anything in the lots carries, by what is recorded of the materials."""
    behind = {key for found in lots_behind(contents).values() for key in found}
    rows = Lot.objects.filter(pk__in=behind).values_list("material__allergens", flat=True)
    return {code for codes in rows for code in codes}


def _beginnings(made: list[Lot], brews: dict[int, Brew]) -> Beginnings:
    origins = [Origin(brews[lot.made_by_id], lot.made_at) for lot in made if lot.made_by_id in brews]
    pitches = [lot.made_at for lot in made if lot.made_by.kind == Event.Kind.PITCH]
    return Beginnings(tuple(origins), min(pitches, default=None))


def _brews_by_knock_out(events: Collection[int]) -> dict[int, Brew]:
    rows = Posting.objects.filter(
        event__in=events, event__kind=Event.Kind.KNOCK_OUT, from_location__brew__isnull=False
    ).values_list("event", "from_location__brew")
    of_event = dict(rows)
    brews = Brew.objects.select_related("beer", "sheet").prefetch_related("sheet__cellar_steps")
    found = brews.in_bulk(set(of_event.values()))
    return {event: found[brew] for event, brew in of_event.items()}
