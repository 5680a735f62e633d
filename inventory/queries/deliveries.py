"""Deliveries: drafts with their lines, what came before, and what the clerk should look at twice."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Count, Prefetch, Q, QuerySet

from brewery.kernel.clock import now
from brewery.kernel.database.sets import portions
from brewery.kernel.models import User
from brewery.science.units import format_micro
from inventory.models import Delivery, DeliveryChange, DeliveryLine, Event, Location, Lot, Material
from inventory.queries.orders import order_lines, outstanding_lines

CHANGES_SEARCHED = 50
"""How far back somebody's last line is looked for."""


@dataclass(frozen=True)
class Warned:
    """Something about a line, or about the whole delivery where `line` is None, that does not stop it."""

    line: DeliveryLine | None
    field: str
    sentence: str
    lot: Lot | None = None


def deliveries() -> QuerySet[Delivery]:
    """Return the deliveries, each with `line_count`, its supplier, who opened it, its event and that one's reversal."""
    named = Delivery.objects.select_related("supplier", "opened_by", "event__actor", "event__reversed_by")
    return named.annotate(line_count=Count("lines"))


def open_drafts() -> QuerySet[Delivery]:
    """Return the drafts that somebody is at, the latest arrival first."""
    return deliveries().filter(state=Delivery.State.DRAFT)


def booked_deliveries() -> QuerySet[Delivery]:
    """Return the deliveries that were booked, those that were reversed among them, the latest arrival first."""
    return deliveries().filter(state=Delivery.State.BOOKED)


def finished_deliveries() -> QuerySet[Delivery]:
    """Return the deliveries that are drafts no longer, the latest arrival first."""
    return deliveries().exclude(state=Delivery.State.DRAFT)


def receipts_at_once() -> QuerySet[Event]:
    """Return the receipts that were never a draft, the latest first, each with its lots and its reversal."""
    receipts = Event.objects.filter(kind=Event.Kind.RECEIVE, delivery=None).order_by("-happened_at", "-pk")
    return receipts.select_related("reversed_by").prefetch_related(
        Prefetch("made_lots", Lot.objects.filter(supplier__isnull=False).select_related("supplier"))
    )


def lines_of(delivery: Delivery) -> QuerySet[DeliveryLine]:
    """Return the lines in their order, each with all that it names."""
    named = ("material", "location", "order_line__material", "order_line__order", "lot")
    return DeliveryLine.objects.filter(delivery=delivery).select_related(*named).order_by("position")


def changes_since(delivery: Delivery, version: int) -> QuerySet[DeliveryChange]:
    """Return the changes after that version, each with its person."""
    return DeliveryChange.objects.filter(delivery=delivery, version__gt=version).select_related("actor")


def earlier_receipts(delivery: Delivery) -> QuerySet[Event]:
    """Return the receipts under the same note number of the same supplier that count, other than this one's."""
    same = Event.objects.filter(kind=Event.Kind.RECEIVE, reference__iexact=delivery.note_number, reversed_by=None)
    from_supplier = Q(pk__in=Lot.objects.filter(supplier=delivery.supplier_id).values("made_by"))
    return same.filter(from_supplier).exclude(delivery=delivery).select_related("actor").order_by("-happened_at")


def usual_place(delivery: Delivery, material: Material) -> Location | None:
    """Return where one more line is likely to be put.

    That is where the same material was put in this delivery, else the store that the line before went to, else the
    store or silo where the material was put the last time. A brink is chosen by hand.
    """
    placed = DeliveryLine.objects.filter(location__kind__in=(Location.Kind.STORE, Location.Kind.SILO))
    placed = placed.select_related("location")
    here = placed.filter(delivery=delivery).order_by("-position")
    line = (
        here.filter(material=material).first()
        or here.filter(location__kind=Location.Kind.STORE).first()
        or placed.filter(material=material).order_by("-pk").first()
    )
    return line.location if line else None


def line_in_hand(delivery: Delivery, actor: User) -> tuple[DeliveryLine, int] | None:
    """Return the line that the person entered or changed last, and the version in which that was; None without one."""
    changes = DeliveryChange.objects.filter(delivery=delivery, actor=actor).order_by("-version")
    lines = {line.pk: line for line in lines_of(delivery).filter(pk__in=_touched(changes[:CHANGES_SEARCHED]))}
    for change in changes[:CHANGES_SEARCHED]:
        for key in _touched([change]):
            if key in lines:
                return lines[key], change.version
    return None


def _touched(changes: Iterable[DeliveryChange]) -> list[int]:
    """Return the keys of the lines that the changes touched."""
    keys = (name.partition(".") for change in changes for name in change.touched)
    return [int(key) for key, point, _ in keys if point]


def came_before(delivery: Delivery, lines: Iterable[DeliveryLine]) -> dict[tuple[int, str], list[Lot]]:
    """Return earlier lots by material and supplier's lot, of those that the lines name."""
    wanted = {(line.material_id, line.supplier_lot) for line in lines if line.supplier_lot}
    if not wanted:
        return {}
    codes, materials = {code for _, code in wanted}, {material for material, _ in wanted}
    lots = Lot.objects.filter(supplier=delivery.supplier_id, reversed_by=None, material__in=materials)
    lots = lots.exclude(delivery_line__delivery=delivery)
    found: dict[tuple[int, str], list[Lot]] = defaultdict(list)
    for part in portions(sorted(codes)):
        for lot in lots.filter(supplier_lot__in=part).order_by("-pk"):
            if (lot.material_id, lot.supplier_lot) in wanted:
                found[lot.material_id, lot.supplier_lot].append(lot)
    return found


def warnings_of(delivery: Delivery, lines: Sequence[DeliveryLine], all_lines: Sequence[DeliveryLine]) -> list[Warned]:
    """Return what to look at twice in `lines`, which are some of `all_lines`, and in the draft's head."""
    return [
        *_other_drafts(delivery),
        *_unordered(delivery, lines),
        *_over_delivered(lines, all_lines),
        *_seen_before(delivery, lines),
        *_odd(delivery, lines),
    ]


def _other_drafts(delivery: Delivery) -> list[Warned]:
    if not delivery.note_number or delivery.state != Delivery.State.DRAFT:
        return []
    same = Delivery.objects.filter(
        supplier=delivery.supplier_id, note_number__iexact=delivery.note_number, state=Delivery.State.DRAFT
    )
    others = same.exclude(pk=delivery.pk).select_related("opened_by")
    return [
        Warned(None, "note_number", f"{other.opened_by} has a draft under this note number too (delivery {other.pk}).")
        for other in others
    ]


def _unordered(delivery: Delivery, lines: Sequence[DeliveryLine]) -> list[Warned]:
    found = []
    expected = set(outstanding_lines().filter(order__supplier=delivery.supplier_id).values_list("material", flat=True))
    for line in lines:
        order_line = line.order_line
        if order_line and order_line.material_id != line.material_id:
            wrong = f"Order {order_line.order.number} asks for {order_line.material}, not for {line.material}."
            found.append(Warned(line, "material", wrong))
        elif order_line is None and expected and line.material_id not in expected:
            nothing = f"No {line.material} is still to come from {delivery.supplier}."
            found.append(Warned(line, "material", nothing))
    return found


def _over_delivered(lines: Sequence[DeliveryLine], all_lines: Sequence[DeliveryLine]) -> list[Warned]:
    keys = {line.order_line_id for line in lines if line.order_line_id}
    comes: dict[int, int] = defaultdict(int)
    for line in all_lines:
        if line.order_line_id in keys and line.order_line and line.material_id == line.order_line.material_id:
            comes[line.order_line_id] += line.quantity_micro or 0 if line.lot_id is None else 0
    over = {}
    for ordered in order_lines().filter(pk__in=comes):
        too_much = int(ordered.received_micro) + comes[ordered.pk] - ordered.quantity_micro
        if too_much > 0:
            over[ordered.pk] = (ordered, too_much)
    found = []
    for line in lines:
        if line.order_line_id in over:
            ordered, too_much = over[line.order_line_id]
            unit = line.material.base_unit
            sentence = f"Order {ordered.order.number}: {format_micro(too_much, unit)} {unit} more than was ordered."
            found.append(Warned(line, "quantity", sentence))
    return found


def _seen_before(delivery: Delivery, lines: Sequence[DeliveryLine]) -> list[Warned]:
    before = came_before(delivery, lines)
    found = []
    for line in lines:
        lots = before.get((line.material_id, line.supplier_lot))
        if lots:
            sentence = f"This supplier's lot came before, as lot {lots[0].code}."
            found.append(Warned(line, "supplier_lot", sentence, lots[0]))
    return found


def _odd(delivery: Delivery, lines: Sequence[DeliveryLine]) -> list[Warned]:
    today = now().date()
    found = []
    for line in lines:
        if line.best_before and line.best_before < today:
            found.append(Warned(line, "best_before", "Its best-before day is over."))
        if not line.supplier_lot:
            found.append(Warned(line, "supplier_lot", "Without the supplier's lot nobody can trace it further back."))
    return found
