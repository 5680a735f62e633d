"""Recalls as they stand: what is affected, where each part of it is, whom to ring, and what is still open.

Everything is read off the record at that moment. Every lot's parts sum to what was made of it, exactly.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from fractions import Fraction
from functools import cached_property

from django.db.models import Q, QuerySet, Sum

from brewery.kernel.clock import now, on_the_wall
from brewery.kernel.database.sets import portions
from brewery.production.queries.customer_orders import open_picks
from brewery.science.units import MICRO
from inventory.models import Event, Link, Location, Lot, Party, PartyContact, Posting
from inventory.queries.customers import current_contacts
from traceability.models import Recall, RecallCheck
from traceability.queries.families import Family, Member, family_of
from traceability.queries.report import in_words

MARKS = (
    (timedelta(hours=4), "4 h: what audits of food safety commonly ask of a full trace"),
    (timedelta(hours=24), "24 h: when records must be with the authority, 21 CFR 1.361 and 1.1455"),
)
CAUTION = (
    "This page is a working record, no legal notice. Whom to tell, what and by when, is decided by the local "
    "authorities and a licensed adviser: ask them at once."
)


@dataclass(frozen=True)
class AffectedLot:
    """One affected lot, all in its micro-units: what was made, and where every part of it is.

    `back_micro` came back from customers, and lies in another of the parts by now. `went_on_micro` is in other lots.
    """

    lot: Lot
    is_subject: bool
    made_micro: int
    on_hand_micro: int
    in_transit_micro: int
    in_process_micro: int
    in_tanks_micro: int
    in_laboratory_micro: int
    at_customers_micro: int
    destroyed_micro: int
    lost_micro: int
    sent_back_micro: int
    went_on_micro: int
    back_micro: int

    @property
    def accounted_micro(self) -> int:
        """The sum of all parts that are known."""
        return (
            self.on_hand_micro
            + self.in_transit_micro
            + self.in_process_micro
            + self.in_tanks_micro
            + self.in_laboratory_micro
            + self.at_customers_micro
            + self.destroyed_micro
            + self.lost_micro
            + self.sent_back_micro
            + self.went_on_micro
        )

    @property
    def otherwise_gone_micro(self) -> int:
        """What is lost, in the laboratory, or with its supplier again."""
        return self.lost_micro + self.in_laboratory_micro + self.sent_back_micro

    @property
    def unaccounted_micro(self) -> int:
        """What is missing: what counts did not find."""
        return self.made_micro - self.accounted_micro


@dataclass(frozen=True)
class CustomerLot:
    """One affected lot at one customer: shipped to it, came back, is there now, and what the last check says of it."""

    lot: Lot
    shipped_micro: int
    back_micro: int
    there_micro: int
    holds_micro: int
    gone_micro: int

    @property
    def open_micro(self) -> int:
        """What the customer has not answered for; below nothing where it told of more than it should have."""
        return self.there_micro - self.holds_micro - self.gone_micro


@dataclass(frozen=True)
class AffectedCustomer:
    """One customer that got some of it, whom to ring, and the last check."""

    customer: Party
    contacts: list[PartyContact]
    lots: list[CustomerLot]
    check: RecallCheck | None

    @property
    def is_reached(self) -> bool:
        """Whether somebody there was spoken to at the last attempt."""
        return self.check is not None and self.check.is_reached

    @property
    def is_settled(self) -> bool:
        """Whether it was reached and answered for all that it has."""
        return self.is_reached and all(one.open_micro == 0 for one in self.lots)


@dataclass(frozen=True)
class Reconciled:
    """What was made and is accounted for of all affected lots in one unit."""

    unit: str
    made_micro: int
    accounted_micro: int

    @property
    def percent(self) -> Fraction:
        """How much of it is accounted for, exactly."""
        return Fraction(100 * self.accounted_micro, self.made_micro)

    @property
    def percent_shown(self) -> str:
        """The per cent to three decimals; never rounded up to 100 where something is missing."""
        thousandths = self.percent * 1000 // 1
        return f"{thousandths // 1000}.{thousandths % 1000:03d}"


@dataclass(frozen=True)
class RecallView:
    """One recall as it stands."""

    recall: Recall
    lots: list[AffectedLot]
    customers: list[AffectedCustomer]
    family: Family
    as_of: datetime

    @cached_property
    def reconciled(self) -> list[Reconciled]:
        """The sums by unit, the worst first."""
        made: dict[str, int] = defaultdict(int)
        accounted: dict[str, int] = defaultdict(int)
        for row in self.lots:
            made[row.lot.material.base_unit] += row.made_micro
            accounted[row.lot.material.base_unit] += row.accounted_micro
        sums = [Reconciled(unit, made[unit], accounted[unit]) for unit in sorted(made)]
        return sorted(sums, key=lambda one: one.percent)

    @property
    def elapsed(self) -> timedelta:
        """How long it has been open, or was."""
        closing = getattr(self.recall, "closing", None)
        return (closing.written_at if closing else self.as_of) - self.recall.written_at

    @property
    def elapsed_words(self) -> str:
        """The time for people, in hours and minutes."""
        minutes = int(self.elapsed.total_seconds()) // 60
        return f"{minutes // 60} h {minutes % 60:02d} min"

    @property
    def marks(self) -> list[tuple[str, datetime, bool]]:
        """The marks of the clock: words, when, and whether it took longer than that."""
        return [(words, self.recall.written_at + after, self.elapsed > after) for after, words in MARKS]

    @property
    def open_points(self) -> list[str]:
        """What is not settled, in sentences."""
        points = [f"Nobody at {one.customer} was reached." for one in self.customers if not one.is_reached]
        points += [
            f"{one.customer} has not answered for {in_words(lot.open_micro, lot.lot.material.base_unit)} of {lot.lot}."
            for one in self.customers
            for lot in one.lots
            if one.is_reached and lot.open_micro
        ]
        points += [
            f"{in_words(row.unaccounted_micro, row.lot.material.base_unit)} of lot {row.lot} are unaccounted for."
            for row in self.lots
            if row.unaccounted_micro
        ]
        return points + [f"Not done: {task}." for task in self.recall.tasks.filter(done=None)]


def recalls() -> QuerySet[Recall]:
    """Return all recalls and drills, the newest first."""
    return Recall.objects.select_related("actor", "closing", "hold").prefetch_related("subjects__lot")


def view_of(recall: Recall) -> RecallView:
    """Return the recall as it stands now."""
    starts = set(recall.subjects.values_list("lot", flat=True))
    family = family_of(starts, recall.kinds)
    members = [member for member in family.members if _counts(recall, member)]
    keys = [member.lot.pk for member in members]
    shipped, back = _shipped(keys)
    return RecallView(recall, _affected(members, back), _customers(recall, members, shipped, back), family, now())


def window_in_words(recall: Recall) -> str:
    """Return between which moments lots were made that count, or nothing where all count."""
    said = (("from", recall.made_from), ("until", recall.made_until))
    return " ".join(f"{word} {on_the_wall(at)}" for word, at in said if at)


def _counts(recall: Recall, member: Member) -> bool:
    """Return whether the lot is a subject, has met one in a silo, or was made in the recall's time."""
    made = member.lot.made_at
    is_in_time = (recall.made_from is None or recall.made_from <= made) and (
        recall.made_until is None or made <= recall.made_until
    )
    return member.is_start or member.is_touched or is_in_time


def _affected(members: Iterable[Member], back: Mapping[tuple[int, int], int]) -> list[AffectedLot]:
    members = list(members)
    keys = [member.lot.pk for member in members]
    went_on, picked = _went_on(keys), _picked(keys)
    came_back: dict[int, int] = defaultdict(int)
    for (lot, _), quantity in back.items():
        came_back[lot] += quantity
    return [_row(member, went_on, picked, came_back) for member in members]


def _row(
    member: Member, went_on: Mapping[int, int], picked: Mapping[int, int], came_back: Mapping[int, int]
) -> AffectedLot:
    lot = member.lot
    kind = Location.Kind
    stock = _lying(member, Location.STOCK)
    in_transit = min(stock, picked.get(lot.pk, 0))
    return AffectedLot(
        lot=lot,
        is_subject=member.is_start,
        made_micro=lot.total_micro,
        on_hand_micro=stock - in_transit,
        in_transit_micro=in_transit,
        in_process_micro=_lying(member, (kind.PROCESS,)),
        in_tanks_micro=_lying(member, Location.TANKS),
        in_laboratory_micro=_lying(member, (kind.LABORATORY,)),
        at_customers_micro=_lying(member, (kind.CUSTOMER,)),
        destroyed_micro=_lying(member, (kind.DESTROYED,)),
        lost_micro=_lying(member, (kind.LOSS,)),
        sent_back_micro=_lying(member, (kind.SENT_BACK,)),
        went_on_micro=went_on.get(lot.pk, 0),
        back_micro=came_back.get(lot.pk, 0),
    )


def _lying(member: Member, kinds: Collection[str]) -> int:
    return sum(place.quantity_micro for place in member.places if place.location.kind in kinds)


def _went_on(lots: Collection[int]) -> dict[int, int]:
    """Return by lot how much went into others, over links of every kind."""
    found: dict[int, int] = {}
    for portion in portions(lots):
        rows = Link.objects.filter(parent__in=portion, reversed_by=None).values_list("parent").order_by("parent")
        found.update(rows.annotate(Sum("quantity_micro")))
    return found


def _picked(lots: Collection[int]) -> dict[int, int]:
    """Return by lot how much is picked for customers and has not gone yet."""
    found: dict[int, int] = {}
    for portion in portions(lots):
        rows = open_picks().filter(lot__in=portion).values_list("lot").order_by("lot").annotate(Sum("count"))
        found.update({lot: count * MICRO for lot, count in rows})
    return found


def _shipped(lots: Collection[int]) -> tuple[dict[tuple[int, int], int], dict[tuple[int, int], int]]:
    """Return by lot and customer what was shipped, and what came back; what was reversed never went."""
    shipped: dict[tuple[int, int], int] = defaultdict(int)
    back: dict[tuple[int, int], int] = defaultdict(int)
    at_customer = Q(from_location__kind=Location.Kind.CUSTOMER) | Q(to_location__kind=Location.Kind.CUSTOMER)
    for portion in portions(lots):
        rows = Posting.objects.filter(at_customer, lot__in=portion, event__reversed_by=None)
        rows = rows.exclude(event__kind=Event.Kind.REVERSE)
        parties = ("from_location__party", "to_location__party")
        for lot, came_from, went_to, quantity in rows.values_list("lot", *parties, "quantity_micro"):
            if went_to:
                shipped[lot, went_to] += quantity
            else:
                back[lot, came_from] += quantity
    return shipped, back


def _customers(
    recall: Recall,
    members: Iterable[Member],
    shipped: Mapping[tuple[int, int], int],
    back: Mapping[tuple[int, int], int],
) -> list[AffectedCustomer]:
    lots = {member.lot.pk: member.lot for member in members}
    parties = Party.objects.in_bulk({party for _, party in shipped})
    contacts: dict[int, list[PartyContact]] = defaultdict(list)
    for contact in current_contacts().filter(party__in=parties):
        contacts[contact.party_id].append(contact)
    checks = {check.customer_id: check for check in recall.checks.select_related("actor").prefetch_related("lots")}
    found = []
    for key, party in sorted(parties.items(), key=lambda one: one[1].code):
        check = checks.get(key)
        told = {one.lot_id: one for one in check.lots.all()} if check else {}
        rows = [
            CustomerLot(
                lot=lots[lot],
                shipped_micro=quantity,
                back_micro=back.get((lot, customer), 0),
                there_micro=quantity - back.get((lot, customer), 0),
                holds_micro=told[lot].holds_micro if lot in told else 0,
                gone_micro=told[lot].gone_micro if lot in told else 0,
            )
            for (lot, customer), quantity in sorted(shipped.items())
            if customer == key
        ]
        found.append(AffectedCustomer(party, contacts[key], rows, check))
    return found
