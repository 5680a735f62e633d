"""Fills: what a tank's contents came of, back to knock-out. What is added to a tank makes a new lot of what it holds.

The main line goes back from lot to lot, each time to the brewed parent that most of it came from.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db import connection

from brewery.kernel.database.sets import in_set
from inventory.models import Event, Link, Material

_INTO = """
WITH RECURSIVE mixed(id) AS (
    SELECT id FROM inventory_lot WHERE {wanted}
    UNION
    SELECT link.parent_id
      FROM mixed
      JOIN inventory_link link ON link.child_id = mixed.id
      JOIN inventory_lot parent ON parent.id = link.parent_id
      JOIN inventory_material material ON material.id = parent.material_id
     WHERE link.reversed_by_id IS NULL AND link.kind = %s AND material.kind IN ('wort', 'beer')
)
SELECT link.id FROM mixed
  JOIN inventory_link link ON link.child_id = mixed.id
  JOIN inventory_event event ON event.id = link.event_id
 WHERE link.reversed_by_id IS NULL AND link.kind = %s AND event.kind <> %s
"""

_BREWED = (Material.Kind.WORT, Material.Kind.BEER)


@dataclass(frozen=True)
class Addition:
    """Something that went into the tank at a moment, in words."""

    happened_at: datetime
    words: str


@dataclass(frozen=True)
class Fill:
    """What one lot came of. `line` are the keys of the main line, the lot itself first, the wort or oldest beer last.

    `shares` are the parts of its volume by the key of the oldest lot each came of; what is missing to 1 is water.
    `steady_since` is when wort, beer or water last came to it, or None where none ever did.
    """

    lot: int
    line: tuple[int, ...]
    shares: Mapping[int, float]
    pitched_at: datetime | None
    steady_since: datetime | None
    additions: tuple[Addition, ...]

    @property
    def root(self) -> int:
        """The key of the oldest lot of the main line."""
        return self.line[-1]


def fills_of(lots: Collection[int]) -> dict[int, Fill]:
    """Return what each lot came of, by its key; two statements however many."""
    links: dict[int, list[Link]] = defaultdict(list)
    for link in _links_into(lots):
        links[link.child_id].append(link)
    return {lot: _fill(lot, links) for lot in lots}


def _links_into(lots: Collection[int]) -> Iterable[Link]:
    """Return the ingredient links into the lots and all brewed lots before them; what went into brews is left out."""
    if not lots:
        return ()
    kind = Link.Kind.INGREDIENT.value
    with connection.cursor() as cursor:
        wanted, keys_wanted = in_set("id", lots)
        cursor.execute(_INTO.format(wanted=wanted), [*keys_wanted, kind, kind, Event.Kind.KNOCK_OUT.value])
        keys = [row[0] for row in cursor.fetchall()]
    return Link.objects.filter(pk__in=keys).select_related("event", "parent__material").order_by("pk")


def _fill(lot: int, links: Mapping[int, list[Link]]) -> Fill:
    line = _main_line(lot, links)
    into = [link for child in line for link in links.get(child, ())]
    pitched = [link.event.happened_at for link in into if link.parent.material.kind == Material.Kind.YEAST]
    joined = [link.event.happened_at for link in into if _adds_volume(link) and link.parent_id not in line]
    return Fill(
        lot,
        tuple(line),
        _shares(lot, links),
        min(pitched, default=None),
        max(joined, default=None),
        tuple(_additions(into, line)),
    )


def _main_line(lot: int, links: Mapping[int, list[Link]]) -> list[int]:
    line = [lot]
    while brewed := [link for link in links.get(line[-1], ()) if link.parent.material.kind in _BREWED]:
        line.append(max(brewed, key=lambda link: (link.quantity_micro, -link.parent_id)).parent_id)
    return line


def _adds_volume(link: Link) -> bool:
    return link.parent.material.kind in (*_BREWED, Material.Kind.WATER)


def _shares(lot: int, links: Mapping[int, list[Link]]) -> dict[int, float]:
    """Return the parts of the volume by oldest lot. A parent is older than its child, so the youngest comes first."""
    waiting, shares = {lot: 1.0}, {}
    while waiting:
        child = max(waiting)
        share = waiting.pop(child)
        volumes = [link for link in links.get(child, ()) if _adds_volume(link)]
        total = sum(link.quantity_micro for link in volumes)
        if not any(link.parent.material.kind in _BREWED for link in volumes):
            shares[child] = share
            continue
        for link in volumes:
            if link.parent.material.kind in _BREWED:
                waiting[link.parent_id] = waiting.get(link.parent_id, 0.0) + share * link.quantity_micro / total
    return shares


def _additions(into: Iterable[Link], line: Collection[int]) -> list[Addition]:
    found = [Addition(link.event.happened_at, link.parent.material.name) for link in into if link.parent_id not in line]
    return sorted(found, key=lambda one: one.happened_at)
