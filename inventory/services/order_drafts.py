"""Drafts of orders: a proposal goes into the open draft of its supplier, to be changed, ordered or thrown away."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID, uuid5

from brewery.kernel.clock import now
from brewery.kernel.errors import DomainError
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Material, OrderDraft, OrderDraftLine, Party, PurchaseOrder, SupplyContract
from inventory.services.checks import refuse_not_positive
from inventory.services.orders import OrderedLine, enter_order, refuse_no_supplier
from inventory.services.stock import refuse_no_lines


class DraftIsOver(DomainError):
    code = "order_draft_is_over"
    title = "The draft is no longer open."
    template = "The draft with {supplier} is {state}."
    advice = "Look it up; a new proposal makes a new draft."


class DraftChanged(DomainError):
    code = "order_draft_changed"
    title = "Somebody changed the draft meanwhile."
    template = "The draft with {supplier} has been changed since you looked at it."
    advice = "Look at it as it is now, and change it again if need be."


class MaterialTwice(DomainError):
    code = "material_twice"
    status = 400
    title = "A material stands twice."
    template = "{material} stands in the draft twice."
    advice = "Write one line with both quantities."


@dataclass(frozen=True)
class DraftedLine:
    """One material to be ordered, by when it should come, and the contract that it is called off of."""

    material: Material
    quantity_micro: int
    due_on: date
    contract: SupplyContract | None = None


@once("draft_order", returns=OrderDraft)
def draft_order(*, supplier: Party, lines: Sequence[DraftedLine], actor: User, request_id: UUID) -> OrderDraft:
    """The lines stand in the open draft of the supplier, which is made where there is none.

    A material that stands there already is taken over as it is proposed now. Raises NothingToDo, NoSupplier,
    MaterialTwice, InvalidInput.
    """
    refuse_no_supplier(supplier)
    _refuse_lines(lines)
    draft = OrderDraft.objects.select_for_update().filter(supplier=supplier, state=OrderDraft.State.OPEN).first()
    if draft is None:
        draft = OrderDraft.objects.create(supplier=supplier, made_at=now(), made_by=actor, request_id=request_id)
    else:
        draft.revision += 1
        draft.save(update_fields=["revision"])
    draft.lines.filter(material__in=[line.material for line in lines]).delete()
    _write(draft, lines)
    return draft


@once("change_order_draft", returns=OrderDraft)
def change_order_draft(
    *, draft: OrderDraft, revision: int, lines: Sequence[DraftedLine], actor: User, request_id: UUID
) -> OrderDraft:
    """The draft has these lines and no others. Raises DraftIsOver, DraftChanged, NothingToDo, MaterialTwice."""
    locked = _locked(draft, revision)
    _refuse_lines(lines)
    locked.lines.all().delete()
    _write(locked, lines)
    locked.revision += 1
    locked.save(update_fields=["revision"])
    return locked


@once("order_draft", returns=PurchaseOrder)
def order_draft(
    *, draft: OrderDraft, revision: int, number: str, ordered_on: date, actor: User, request_id: UUID, note: str = ""
) -> PurchaseOrder:
    """What the draft says is ordered under that number, and the draft is over.

    Raises DraftIsOver, DraftChanged, and what `enter_order` raises.
    """
    locked = _locked(draft, revision)
    lines = [
        OrderedLine(line.material, line.quantity_micro, line.due_on, contract=line.contract)
        for line in locked.lines.select_related("material", "contract")
    ]
    order: PurchaseOrder = enter_order(
        number=number,
        supplier=locked.supplier,
        ordered_on=ordered_on,
        lines=lines,
        note=note,
        actor=actor,
        request_id=uuid5(request_id, "order"),
    )
    locked.state, locked.order, locked.revision = OrderDraft.State.ORDERED, order, locked.revision + 1
    locked.save(update_fields=["state", "order", "revision"])
    return order


@once("discard_order_draft", returns=OrderDraft)
def discard_order_draft(*, draft: OrderDraft, revision: int, actor: User, request_id: UUID) -> OrderDraft:
    """The draft is thrown away, and stays on record. Raises DraftIsOver, DraftChanged."""
    locked = _locked(draft, revision)
    locked.state, locked.revision = OrderDraft.State.DISCARDED, locked.revision + 1
    locked.save(update_fields=["state", "revision"])
    return locked


def _locked(draft: OrderDraft, revision: int) -> OrderDraft:
    locked = OrderDraft.objects.select_for_update(of=("self",)).select_related("supplier").get(pk=draft.pk)
    if locked.state != OrderDraft.State.OPEN:
        raise DraftIsOver(supplier=locked.supplier.name, state=locked.get_state_display(), field="draft")
    if locked.revision != revision:
        raise DraftChanged(supplier=locked.supplier.name, field="revision")
    return locked


def _refuse_lines(lines: Sequence[DraftedLine]) -> None:
    refuse_no_lines(lines, "The draft")
    seen: set[int] = set()
    for index, line in enumerate(lines):
        refuse_not_positive(line.quantity_micro, f"lines[{index}].quantity", line.material.base_unit)
        if line.material.pk in seen:
            raise MaterialTwice(material=line.material.name, field=f"lines[{index}].material")
        seen.add(line.material.pk)


def _write(draft: OrderDraft, lines: Sequence[DraftedLine]) -> None:
    OrderDraftLine.objects.bulk_create(
        OrderDraftLine(
            draft=draft,
            material=line.material,
            quantity_micro=line.quantity_micro,
            due_on=line.due_on,
            contract=line.contract,
        )
        for line in lines
    )
