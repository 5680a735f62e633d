"""What moved of materials in a period: each posting's way in or out, and for what it was drawn or used."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from django.db.models import BigIntegerField, Case, F, Q, QuerySet, Sum, When
from django.db.models.functions import Coalesce

from brewery.production.models import Brew, PackagingRun
from inventory.models import Location, Lot, Material, Posting
from inventory.queries.turnover import way_of
from inventory.queries.usage import COLUMNS, Period
from traceability.queries.duty_record import edges

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
_WORK, _MADE = Location.Kind.PROCESS, Location.Kind.TRANSFORMED
_IS_UNDONE = Q(event__reverses__isnull=False)
_IS_MADE = Q(from_location__kind=_MADE) | Q(to_location__kind=_MADE)


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
    purpose: Purpose = Purpose()


def moves_of(period: Period, kinds: Collection[str] = RAW) -> list[Move]:
    """Return what moved of the lots of such materials, summed by lot, column and purpose; four statements.

    What reverses is taken off what it reverses. By column and material, they are what `usage_of` tells.
    """
    start, end = edges(period)
    inside = Posting.objects.filter(event__happened_at__gte=start, event__happened_at__lt=end)
    rows = list(_ways(inside.filter(lot__material__kind__in=list(kinds))))
    purposes = _purposes(rows)
    return [
        Move(lot, COLUMN_OF[name], sign * micro, purposes.get(("made", made) if made else ("at", at), Purpose()))
        for lot, name, sign, micro, at, made in rows
    ]


def postings_of_usage(period: Period, material: Material, column: str) -> list[tuple[Posting, int]]:
    """Return the postings that a column of a material is the sum of, by time, each with what came or went by it."""
    start, end = edges(period)
    rows = Posting.objects.filter(
        lot__material=material, event__happened_at__gte=start, event__happened_at__lt=end
    ).select_related("event__reverses", "event__actor", "lot", "from_location", "to_location")
    found = []
    for row in rows.order_by("event__happened_at", "pk"):
        ends, undone = (row.from_location.kind, row.to_location.kind), row.event.reverses
        kind, ends = (undone.kind, ends[::-1]) if undone else (row.event.kind, ends)
        name, sign = way_of(kind, *ends)
        if sign and COLUMN_OF[name] == column:
            found.append((row, sign * (-row.quantity_micro if undone else row.quantity_micro)))
    return found


_Way = tuple[int, str, int, int, int | None, int | None]
"""A lot, its way, the sign and how much; the place of the work it was drawn for, and the event that made it into
something else."""


def _ways(postings: QuerySet[Posting]) -> Iterator[_Way]:
    """Yield sums by lot and way: what was drawn by the place of the work, what was made into something by event."""
    turned = postings.annotate(
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
    keys = ("lot", "kind", "source", "target", "at", "made")
    for lot, kind, source, target, at, made, micro in (
        turned.order_by().values_list(*keys).annotate(micro=Sum("moved")).values_list(*keys, "micro")
    ):
        name, sign = way_of(kind, source, target)
        if sign:
            yield lot, name, sign, int(micro), at, made


def _purposes(rows: Collection[_Way]) -> dict[tuple[str, int | None], Purpose]:
    """Return what was drawn for, by the place of the work, and what it became, by the event."""
    places, events = {row[4] for row in rows} - {None}, {row[5] for row in rows} - {None}
    found: dict[tuple[str, int | None], Purpose] = {}
    for work in (Brew, PackagingRun):
        for place, code, product in work.objects.filter(location__in=places).values_list(
            "location", "code", "beer__name"
        ):
            found["at", place] = Purpose(code, product)
    made = Lot.objects.filter(made_by__in=events).order_by("-pk")
    for event, code, product in made.values_list("made_by", "code", "material__name"):
        found["made", event] = Purpose(code, product)
    return found
