"""The lines of a delivery draft: one supplier's lot each, as weighed and as the note says."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any
from uuid import UUID

from brewery.kernel.clock import brewery_zone
from brewery.kernel.database.sets import AT_ONCE
from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Delivery, DeliveryLine, Location, Material
from inventory.queries.deliveries import changes_since
from inventory.queries.orders import outstanding_lines
from inventory.services.delivery_drafts import (
    field_name,
    locked_draft,
    name_of,
    note_change,
    refuse_bad_fields,
    refuse_changed,
    shown,
)
from inventory.services.draft_refusals import ChangedMeanwhile, LineGone
from inventory.services.lot_codes import CONTENTS, propose_codes
from inventory.services.silos import heel_of

LINE = (
    "order_line",
    "material",
    "lot_code",
    "supplier_lot",
    "crop_year",
    "quantity_micro",
    "quantity_typed",
    "note_quantity_micro",
    "difference_reason",
    "package_count",
    "package_micro",
    "best_before",
    "generation",
    "location",
    "contents_code",
    "sscc",
)
"""What may be said of a line."""

MOST_LINES = 20_000
UNSAID = ("quantity_typed",)
FIRST_GENERATION = 1


@once("add_line", returns=Delivery)
def add_line(
    *,
    delivery: Delivery,
    facts: Mapping[str, Any],
    actor: User,
    request_id: UUID,
    version: int | None = None,
) -> Delivery:
    """The draft has one more line at its end; the keys of `facts` are among LINE, and `material` is there.

    What follows from the rest is filled in: a lot code, the order line that waits for the material, the code of a mixed
    silo's new contents, generation 1 of a bought yeast. With a version, any change since then is refused.
    Raises DraftBooked, DraftDiscarded, ChangedMeanwhile, InvalidInput.
    """
    draft = locked_draft(delivery, version, (), whole=True)
    (line,) = append_lines(draft, [facts])
    note_change(draft, actor, [f"{line.pk}."], f"added line {line.position}, {line.material}")
    return draft


@once("change_line", returns=Delivery)
def change_line(
    *,
    delivery: Delivery,
    line: int,
    version: int,
    changes: Mapping[str, Any],
    actor: User,
    request_id: UUID,
    whole: bool = False,
) -> Delivery:
    """The line of that key says what `changes` say; the keys are among LINE.

    Raises LineGone, ChangedMeanwhile as `change_delivery` does, DraftBooked, DraftDiscarded, InvalidInput.
    """
    draft = _draft_for(delivery, line, version, changes, whole)
    set_line(draft, _line_of(draft, line), changes, actor)
    return draft


@once("remove_line", returns=Delivery)
def remove_line(
    *, delivery: Delivery, line: int, version: int, actor: User, request_id: UUID, whole: bool = False
) -> Delivery:
    """The draft has this line no longer; the others keep their positions.

    Raises LineGone, ChangedMeanwhile for any change of the line since `version`, DraftBooked, DraftDiscarded.
    """
    draft = _draft_for(delivery, line, version, LINE, whole)
    row = _line_of(draft, line)
    row.delete()
    note_change(draft, actor, [f"{line}.{name}" for name in LINE], f"removed line {row.position}, {row.material}")
    return draft


def set_line(draft: Delivery, line: DeliveryLine, changes: Mapping[str, Any], actor: User) -> None:
    """The line of the locked draft says what `changes` say, and it is noted. Raises InvalidInput."""
    _set(line, changes)
    _fill_in(draft, [line], seek_order="material" in changes and "order_line" not in changes)
    line.save()
    words = ", ".join(f"{field_name(line, name)} is now {shown(line, name)}" for name in changes if name not in UNSAID)
    note_change(draft, actor, [f"{line.pk}.{name}" for name in changes], f"line {line.position}: {words}")


def append_lines(draft: Delivery, facts: Sequence[Mapping[str, Any]]) -> list[DeliveryLine]:
    """Write lines at the end of the locked draft. Raises InvalidInput."""
    last = DeliveryLine.objects.filter(delivery=draft).order_by("-position").first()
    first = last.position + 1 if last else 1
    there = DeliveryLine.objects.filter(delivery=draft).count()
    if there + len(facts) > MOST_LINES:
        raise InvalidInput(field="lines", value=there + len(facts), problem=f"A delivery has {MOST_LINES} at most.")
    lines = [_new_line(draft, position, one) for position, one in enumerate(facts, start=first)]
    _fill_in(draft, lines)
    return DeliveryLine.objects.bulk_create(lines, batch_size=AT_ONCE)


def _new_line(draft: Delivery, position: int, facts: Mapping[str, Any]) -> DeliveryLine:
    if not isinstance(facts.get("material"), Material):
        raise InvalidInput(field="material", value=None, problem="A line is of some material.")
    line = DeliveryLine(delivery=draft, position=position)
    _set(line, facts)
    return line


def _set(line: DeliveryLine, facts: Mapping[str, Any]) -> None:
    for name, value in facts.items():
        if name not in LINE:
            raise InvalidInput(field=name, value=value, problem="A line has nothing of that name.")
        setattr(line, name, value)
    refuse_bad_fields(line, facts)
    for name in ("quantity_micro", "note_quantity_micro", "package_micro", "package_count"):
        value = facts.get(name)
        if value is not None and value <= 0:
            raise InvalidInput(field=name, value=value, problem="Give more than 0, or nothing.")


def _fill_in(draft: Delivery, lines: Sequence[DeliveryLine], *, seek_order: bool = True) -> None:
    """Fill in what follows from the rest, where nobody said otherwise; that a line is of no order may be said too."""
    codes = _Codes(draft)
    waiting = _waiting(draft) if seek_order else {}
    silos = {line.location for line in lines if line.location and line.location.kind == Location.Kind.SILO}
    filled = {silo.pk for silo in silos if heel_of(silo)}
    for line in lines:
        line.lot_code = line.lot_code or codes.next(line.material.kind)
        if line.order_line is None and line.material_id in waiting:
            line.order_line = waiting[line.material_id]
        if line.material.kind == Material.Kind.YEAST and line.generation is None:
            line.generation = FIRST_GENERATION
        if line.material.kind != Material.Kind.YEAST:
            line.generation = None
        if line.location_id in filled and not line.contents_code:
            line.contents_code = codes.next(line.material.kind, CONTENTS)


def _waiting(draft: Delivery) -> dict[int, Any]:
    """Return the first due order line that waits for each material of the draft's supplier."""
    waiting: dict[int, Any] = {}
    for ordered in outstanding_lines().filter(order__supplier=draft.supplier_id):
        waiting.setdefault(ordered.material_id, ordered)
    return waiting


class _Codes:
    """Proposes codes for lines of one draft, none of them twice."""

    def __init__(self, draft: Delivery) -> None:
        self._day = draft.arrived_at.astimezone(brewery_zone()).date()
        self._proposals: dict[tuple[str, str], Iterator[str]] = {}

    def next(self, kind: str, prefix: str = "") -> str:
        """Return the next code for that kind of material."""
        proposals = self._proposals.setdefault((kind, prefix), propose_codes(kind, self._day, prefix))
        return next(proposals)


def _draft_for(delivery: Delivery, line: int, version: int, names: Collection[str], whole: bool) -> Delivery:
    """Return the locked draft. Raises ChangedMeanwhile by the line's own field."""
    draft = locked_draft(delivery, None, ())
    refuse_changed_line(draft, line, version, names, whole=whole)
    return draft


def refuse_changed_line(
    draft: Delivery, line: int, version: int, names: Collection[str], *, whole: bool = False
) -> None:
    """Raise ChangedMeanwhile, by the line's own field, where somebody changed one of these since; LineGone."""
    try:
        refuse_changed(draft, version, [f"{line}.{name}" for name in names], whole=whole)
    except ChangedMeanwhile as changed:
        changed.field = (changed.field or "").removeprefix(f"{line}.")
        if not DeliveryLine.objects.filter(pk=line, delivery=draft).exists():
            raise _gone(draft, line) from changed
        raise


def _line_of(draft: Delivery, line: int) -> DeliveryLine:
    row = DeliveryLine.objects.select_related("material", "location", "order_line").filter(pk=line, delivery=draft)
    found = row.first()
    if found is None:
        raise _gone(draft, line)
    return found


def _gone(draft: Delivery, line: int) -> LineGone:
    """Return who removed the line, where it was ever there."""
    marks = [change for change in changes_since(draft, 0) if f"{line}.material" in change.touched]
    last = marks[-1] if marks else None
    removed = f": {last.actor.get_full_name() or last.actor.get_username()} {last.words}" if last else ""
    return LineGone(delivery=name_of(draft), removed=removed, field="line")
