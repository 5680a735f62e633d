"""What moved of materials in a period: each posting's way in or out, and for what it was drawn or used."""

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import BigIntegerField, Case, F, Q, QuerySet, Sum, When
from django.db.models.functions import Coalesce

from brewery.production.models import Brew, PackagingRun
from brewery.production.queries.lineage import brews_in
from inventory.models import Location, Lot, Material, Posting
from inventory.queries.turnover import way_of
from inventory.queries.usage import COLUMNS, NET, Period
from traceability.queries.duty_moments import edges

RAW = (
    Material.Kind.MALT,
    Material.Kind.ADJUNCT,
    Material.Kind.HOP,
    Material.Kind.YEAST,
    Material.Kind.WATER,
    Material.Kind.SALT,
    Material.Kind.FINING,
    Material.Kind.FILTER_AID,
    Material.Kind.PACKAGING,
)
"""What is used to make and pack beer, and is no beer itself."""
COLUMN_OF = {way: column for column, (_, ways) in COLUMNS.items() for way in ways}
"""The column of a report that a way in or out belongs to."""
_BREWED = (Material.Kind.WORT, Material.Kind.BEER)
_WORK, _MADE = Location.Kind.PROCESS, Location.Kind.TRANSFORMED
_IS_UNDONE = Q(event__reverses__isnull=False)
_IS_WORK = Q(from_location__kind=_WORK) | Q(to_location__kind=_WORK)
_IS_MADE = Q(from_location__kind=_MADE) | Q(to_location__kind=_MADE)


@dataclass(frozen=True, slots=True)
class Origin:
    """Why something moved, by key: the place of a brew or run on one side, or the event that made something of it."""

    at: int | None = None
    made: int | None = None


@dataclass(frozen=True, slots=True)
class Purpose:
    """What something was drawn or used for: the code of the brew, run or lot that was made, and the product.

    Both are "" where the record does not say.
    """

    work: str = ""
    product: str = ""


@dataclass(frozen=True, slots=True)
class Move:
    """What of one lot came (above zero) or went (below) in a period by one column, and for what, in micro-units."""

    lot: int
    column: str
    micro: int
    origin: Origin
    purpose: Purpose = Purpose()


def moves_of(period: Period, kinds: Collection[str] = RAW, material: Material | None = None) -> list[Move]:
    """Return what moved of the lots of such materials, or of one, summed by lot, column and origin; four statements.

    What reverses is taken off what it reverses. By column and material, they are what `usage_of` tells.
    """
    chosen = Q(lot__material=material) if material else Q(lot__material__kind__in=list(kinds))
    rows = list(_ways(postings_in(period).filter(chosen)))
    purposes = _purposes({origin for *_, origin in rows})
    return [
        Move(lot, COLUMN_OF[name], sign * micro, origin, purposes.get(origin, Purpose()))
        for lot, name, sign, micro, origin in rows
    ]


def used_by_lot(period: Period, kinds: Collection[str] = RAW) -> dict[tuple[int, int], int]:
    """Return what of each lot was used (below zero) and came back, by material and lot; one statement."""
    found: dict[tuple[int, int], int] = defaultdict(int)
    rows = turned(postings_in(period).filter(_IS_MADE | _IS_WORK, lot__material__kind__in=list(kinds))).order_by()
    keys = ("lot__material", "lot", "kind", "source", "target")
    for material, lot, kind, source, target, micro in (
        rows.values_list(*keys).annotate(micro=Sum("moved")).values_list(*keys, "micro")
    ):
        name, sign = way_of(kind, source, target)
        if sign and COLUMN_OF[name] in NET:
            found[material, lot] += sign * int(micro)
    return found


def postings_in(period: Period) -> QuerySet[Posting]:
    """Return the postings of what happened in the period."""
    start, end = edges(period)
    return Posting.objects.filter(event__happened_at__gte=start, event__happened_at__lt=end)


def turned(postings: QuerySet[Posting]) -> QuerySet[Any]:
    """Return the postings with the way that each went, what reverses turned round and taken off: `moved`.

    `kind`, `source` and `target` are what `way_of` asks for; `at` is the place of the brew or run on one side, `made`
    the event that made it into something else.
    """
    return postings.annotate(
        kind=Coalesce("event__reverses__kind", "event__kind"),
        source=Case(When(_IS_UNDONE, then="to_location__kind"), default="from_location__kind"),
        target=Case(When(_IS_UNDONE, then="from_location__kind"), default="to_location__kind"),
        at=Case(
            When(from_location__kind=_WORK, then="from_location"), When(to_location__kind=_WORK, then="to_location")
        ),
        made=Case(When(_IS_MADE, then=Coalesce("event__reverses", "event"))),
        moved=Case(
            When(_IS_UNDONE, then=-F("quantity_micro")), default="quantity_micro", output_field=BigIntegerField()
        ),
    )


def _ways(postings: QuerySet[Posting]) -> Iterator[tuple[int, str, int, int, Origin]]:
    """Yield sums by lot, way with its sign, and origin."""
    keys = ("lot", "kind", "source", "target", "at", "made")
    for lot, kind, source, target, at, made, micro in (
        turned(postings).order_by().values_list(*keys).annotate(micro=Sum("moved")).values_list(*keys, "micro")
    ):
        name, sign = way_of(kind, source, target)
        if sign:
            yield lot, name, sign, int(micro), Origin(made=made) if made else Origin(at=at)


def _purposes(origins: Collection[Origin]) -> dict[Origin, Purpose]:
    """Return what was drawn for, by the place of the work, and what it became, by the event."""
    found: dict[Origin, Purpose] = {}
    for work in (Brew, PackagingRun):
        works = work.objects.filter(location__in={one.at for one in origins} - {None})
        for place, code, product in works.values_list("location", "code", "beer__name"):
            found[Origin(at=place)] = Purpose(code, product)
    return found | _made({one.made for one in origins} - {None})


def _made(events: Collection[int | None]) -> dict[Origin, Purpose]:
    """Return what each event made: of beer in a tank the brews that it came of, with a plus between; else the lot."""
    lots = Lot.objects.filter(made_by__in=events).select_related("material").order_by("-pk")
    made = {lot.made_by_id: lot for lot in lots}
    brews = brews_in([lot for lot in made.values() if lot.material.kind in _BREWED])
    keys = {brew.beer_id for found in brews.values() for brew in found}
    beers = dict(Material.objects.filter(pk__in=keys).values_list("pk", "name"))
    return {Origin(made=event): _purpose(lot, brews.get(lot.pk, []), beers) for event, lot in made.items()}


def _purpose(lot: Lot, brews: Sequence[Brew], beers: Mapping[int, str]) -> Purpose:
    products = {beers[brew.beer_id] for brew in brews}
    product = products.pop() if len(products) == 1 else lot.material.name
    return Purpose(" + ".join(brew.code for brew in brews) or lot.code, product)
