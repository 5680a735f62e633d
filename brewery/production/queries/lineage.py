"""Lineage: which yeast came of which, and which beers and brews a culture has touched."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from brewery.kernel.database.asking import rows_of
from brewery.production.models import Brew
from inventory.models import Balance, Event, Link, Location, Lot, Material, Posting

_MOTHERS, _DAUGHTERS = ("child_id", "parent_id"), ("parent_id", "child_id")

_REACHED = """
WITH RECURSIVE reached(parent_id, child_id, kind) AS (
    SELECT link.parent_id, link.child_id, link.kind
      FROM inventory_link link
     WHERE link.{near} IN ({starts}) AND link.reversed_by_id IS NULL AND link.kind IN ({kinds})
    UNION
    SELECT link.parent_id, link.child_id, link.kind
      FROM reached JOIN inventory_link link ON link.{near} = reached.{far}
     WHERE link.reversed_by_id IS NULL AND link.kind IN ({kinds})
)
SELECT parent_id, child_id, kind FROM reached
"""


@dataclass(frozen=True)
class Culture:
    """One yeast lot in a lineage, with its mothers by id, and what became of it."""

    lot: Lot
    mothers: tuple[int, ...]
    is_pitched: bool
    is_discarded: bool
    is_on_hand: bool

    @property
    def fate(self) -> str:
        """What became of it, in words."""
        fates = (("pitched", self.is_pitched), ("discarded", self.is_discarded), ("on hand", self.is_on_hand))
        return ", ".join(word for word, holds in fates if holds) or "gone"


@dataclass(frozen=True)
class Touched:
    """A beer that holds yeast of a culture or of its daughters; `generations` are the crops between, the fewest.

    `brews` are those whose wort is in it.
    """

    beer: Lot
    generations: int
    brews: tuple[Brew, ...]


def lineage_of(lots: Collection[Lot]) -> list[Culture]:
    """Return all yeast from which the lots came and all that came of them, with themselves, in order of time."""
    starts = [lot.pk for lot in lots]
    steps = {(parent, child) for way in (_MOTHERS, _DAUGHTERS) for parent, child, _ in _steps(starts, way, False)}
    return _cultures({*starts, *(key for step in steps for key in step)}, steps)


def lineage_of_strain(material: Material) -> list[Culture]:
    """Return all yeast of a strain, in order of time, with the yeast of other strains that it came from."""
    lots = Lot.objects.filter(material=material, reversed_by=None)
    rows = Link.objects.filter(child__in=lots, kind=Link.Kind.CULTURE, reversed_by=None)
    steps = set(rows.values_list("parent", "child"))
    return _cultures({*lots.values_list("pk", flat=True), *(parent for parent, _ in steps)}, steps)


def touched_by(lot: Lot) -> list[Touched]:
    """Return every beer that the culture was pitched into, its daughters too, and what was blended or made of those.

    Packaged beer is left out: the trace shows it. Five statements however long the history.
    """
    crops = {lot.pk: 0}
    for parent, child, kind in sorted(_steps([lot.pk], _DAUGHTERS, True), key=lambda step: step[1]):
        # A parent is older than its child, so its own figure is final before it is used.
        between = crops[parent] + (kind == Link.Kind.CULTURE)
        crops[child] = min(between, crops.get(child, between))
    beers = Lot.objects.filter(pk__in=crops, material__kind=Material.Kind.BEER).select_related("material")
    found = list(beers.order_by("pk"))
    brews = brews_in(found)
    return [Touched(beer, crops[beer.pk], tuple(brews[beer.pk])) for beer in found]


def _steps(starts: Collection[int], way: tuple[str, str], with_beer: bool) -> list[tuple[int, int, int]]:
    """Return every link once that is reached from the lots: of culture, and of ingredients too where asked."""
    near, far = way
    kinds = (Link.Kind.CULTURE, Link.Kind.INGREDIENT) if with_beer else (Link.Kind.CULTURE,)
    text = _REACHED.format(
        near=near,
        far=far,
        starts=", ".join(["%s"] * len(starts)) or "NULL",
        kinds=", ".join(str(kind.value) for kind in kinds),
    )
    return [(parent, child, kind) for parent, child, kind in rows_of(text, list(starts))]


def _cultures(keys: Collection[int], steps: Iterable[tuple[int, int]]) -> list[Culture]:
    mothers: dict[int, list[int]] = defaultdict(list)
    for parent, child in sorted(steps):
        mothers[child].append(parent)
    lots = Lot.objects.filter(pk__in=keys).select_related("material").order_by("made_at", "pk")
    pitched = set(
        Link.objects.filter(parent__in=keys, kind=Link.Kind.INGREDIENT, reversed_by=None).values_list(
            "parent", flat=True
        )
    )
    balances = Balance.objects.filter(lot__in=keys, quantity_micro__gt=0)
    lying = set(balances.values_list("lot", "location__kind"))
    held = {lot for lot, kind in lying if kind in Location.STOCK}
    discarded = {lot for lot, kind in lying if kind == Location.Kind.DESTROYED}
    return [
        Culture(lot, tuple(mothers[lot.pk]), lot.pk in pitched, lot.pk in discarded, lot.pk in held) for lot in lots
    ]


def brews_in(beers: Collection[Lot]) -> dict[int, list[Brew]]:
    """Return by beer the brews whose wort is in it, in the order in which they were knocked out."""
    worts: dict[int, set[int]] = defaultdict(set)
    steps = _steps([beer.pk for beer in beers], _MOTHERS, True)
    parents: dict[int, set[int]] = defaultdict(set)
    for parent, child, kind in steps:
        if kind == Link.Kind.INGREDIENT:
            parents[child].add(parent)
    made = _brews_by_wort({parent for parent, _, _ in steps})
    for lot in sorted({child for _, child, _ in steps}):
        for parent in parents[lot]:
            worts[lot] |= worts[parent] | ({made[parent]} if parent in made else set())
    brews = Brew.objects.in_bulk({brew for found in worts.values() for brew in found})
    return defaultdict(list, {lot: [brews[key] for key in sorted(found)] for lot, found in worts.items()})


def _brews_by_wort(lots: Collection[int]) -> dict[int, int]:
    """Return by wort the brew that was knocked out into it."""
    rows = Posting.objects.filter(
        event__kind=Event.Kind.KNOCK_OUT,
        event__reversed_by=None,
        event__made_lots__in=lots,
        event__made_lots__material__kind=Material.Kind.WORT,
        from_location__brew__isnull=False,
    )
    return dict(rows.values_list("event__made_lots", "from_location__brew").distinct())
