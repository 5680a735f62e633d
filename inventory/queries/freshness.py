"""What is on hand and near its end: by its date, its age, a pack that has long been open, and what customers ask."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Exists, F, Max, OuterRef, Q, QuerySet

from inventory.models import Balance, Event, Location, Lot, Material, MinimumLife, Party, Posting
from inventory.models.dispositions import Disposition

NEAR_DAYS = 30
"""So long before its date a lot is told of, unless its material is set otherwise: common practice, no source."""
OPEN_DAYS = {
    Material.Kind.HOP: 14,
    Material.Kind.YEAST: 3,
    Material.Kind.MALT: 60,
    Material.Kind.ADJUNCT: 60,
    Material.Kind.FINING: 30,
}
"""How long a pack may be open, unless its material is set otherwise: common practice, no source. Others may always."""


def told_days_of(material: Material) -> int:
    """Return how many days before its date a lot of the material is told of."""
    return NEAR_DAYS if material.told_days_before is None else material.told_days_before


def open_days_of(material: Material) -> int | None:
    """Return how many days a pack of the material may be open; None where it may always."""
    return OPEN_DAYS.get(Material.Kind(material.kind)) if material.open_days is None else material.open_days


def lots_near_their_end(today: date) -> list[Lot]:
    """Return the lots on hand whose date is near as their material is set, or over, the first to end first.

    Rejected ones are left out.
    """
    longest = Material.objects.aggregate(days=Max("told_days_before"))["days"] or 0
    lots = _on_hand().filter(best_before__lte=today + timedelta(max(NEAR_DAYS, longest)))
    return [lot for lot in lots.order_by("best_before", "pk") if _is_near(lot, today)]


def _is_near(lot: Lot, today: date) -> bool:
    return lot.best_before is not None and lot.best_before <= today + timedelta(told_days_of(lot.material))


def undated_malts(kinds: Collection[str] = (Material.Kind.MALT,)) -> QuerySet[Lot]:
    """Return the lots of malt on hand that bear no date, the oldest first."""
    return _on_hand().filter(material__kind__in=kinds, best_before=None).order_by("made_at", "pk")


def _on_hand() -> QuerySet[Lot]:
    lying = Balance.objects.held().filter(lot=OuterRef("pk"), location__kind__in=Location.STOCK)
    lots = Lot.objects.filter(Exists(lying)).exclude(disposition=Disposition.REJECTED)
    return lots.select_related("material")


@dataclass(frozen=True)
class OpenPack:
    """A part of a lot of which a pack is open: what lies there is no whole number of packs, since a moment."""

    balance: Balance
    since: datetime

    @property
    def rest_micro(self) -> int:
        """What is in the open pack."""
        package = self.balance.lot.package_micro or 1
        return self.balance.quantity_micro % package


def open_packs() -> list[OpenPack]:
    """Return the parts with an open pack, each since what is open was whole for the last time; two statements.

    Of materials that may be open for so long only. A part that came here open counts from then. What was reversed never
    opened one.
    """
    limited = Q(lot__material__kind__in=OPEN_DAYS) | Q(lot__material__open_days__isnull=False)
    rows = Balance.objects.held().filter(limited, location__kind__in=Location.STOCK, lot__package_micro__gt=0)
    rows = rows.exclude(lot__disposition=Disposition.REJECTED).annotate(
        rest=F("quantity_micro") % F("lot__package_micro")
    )
    rows = rows.exclude(rest=0).order_by("pk")
    since = _opened_at(rows)
    opened = rows.select_related("lot__material", "location")
    return [OpenPack(row, since.get((row.lot_id, row.location_id), row.lot.made_at)) for row in opened]


def _opened_at(rows: QuerySet[Balance]) -> Mapping[tuple[int, int], datetime]:
    moves = Posting.objects.filter(lot__in=rows.order_by().values("lot"), event__reversed_by=None)
    moves = moves.exclude(event__kind=Event.Kind.REVERSE).order_by("event__happened_at", "pk")
    held: dict[tuple[int, int], int] = defaultdict(int)
    found: dict[tuple[int, int], datetime] = {}
    for lot, from_, to, micro, package, moment in moves.values_list(
        "lot", "from_location", "to_location", "quantity_micro", "lot__package_micro", "event__happened_at"
    ):
        for place, change in ((from_, -micro), (to, micro)):
            before = held[lot, place]
            held[lot, place] = before + change
            if _opens(before, before + change, package or 1):
                found[lot, place] = moment
    return found


def _opens(before: int, after: int, package: int) -> bool:
    """Return whether the pack that is open after a move was whole before it, or came with it."""
    if after > before:
        return before % package == 0 and after % package != 0
    return after % package != 0 and before >= -(-after // package) * package


@dataclass(frozen=True)
class Wish:
    """How many days a customer asks a material still to keep."""

    party: Party
    material: Material | None
    days: int


def wishes() -> list[Wish]:
    """Return what customers ask now, of all they buy or of a material; one statement."""
    last: dict[tuple[int, int | None], MinimumLife] = {}
    for row in MinimumLife.objects.select_related("party", "material").order_by("pk"):
        last[row.party_id, row.material_id] = row
    return [Wish(row.party, row.material, row.days) for row in last.values() if row.days is not None]


def last_days_of(lots: Iterable[Lot], asked: Iterable[Wish]) -> Mapping[int, list[tuple[Wish, date]]]:
    """Return by lot until which day it may still go to each customer who asks for something, the last to end first.

    What is asked of the material counts before what is asked of all.
    """
    of_all: dict[int, Wish] = {}
    of_material: dict[tuple[int, int], Wish] = {}
    for wish in asked:
        if wish.material is None:
            of_all[wish.party.pk] = wish
        else:
            of_material[wish.party.pk, wish.material.pk] = wish
    found: dict[int, list[tuple[Wish, date]]] = defaultdict(list)
    for lot in lots:
        parties = {*of_all, *(party for party, material in of_material if material == lot.material_id)}
        for party in parties:
            wish = of_material.get((party, lot.material_id)) or of_all[party]
            if lot.best_before:
                found[lot.pk].append((wish, lot.best_before - timedelta(wish.days)))
        found[lot.pk].sort(key=lambda one: (one[1], one[0].party.pk), reverse=True)
    return found


def packaged_in_stock() -> QuerySet[Lot]:
    """Return the released lots of packaged beer in stock that bear a date, the first to end first."""
    return (
        _on_hand()
        .filter(Q(material__kind=Material.Kind.PACKAGED), disposition=Disposition.RELEASED, best_before__isnull=False)
        .order_by("best_before", "pk")
    )
