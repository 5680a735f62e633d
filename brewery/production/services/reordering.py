"""Reordering: what is to be ordered goes into drafts, supplier by supplier, and people are told that it is due."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import date, datetime, timedelta
from uuid import UUID, uuid5

from django.db import transaction
from django.urls import reverse

from brewery.kernel.access import Role
from brewery.kernel.clock import brewery_day
from brewery.kernel.models import User
from brewery.production.queries.reordering import Reorder, reorders
from inventory.models import Alert, Material, OrderDraft, Party, SupplyContract
from inventory.queries.supply_contracts import Calls, calls_of, contracts
from inventory.services.alert_bells import Bell
from inventory.services.alerts import Cause, alerts_of
from inventory.services.checks import in_words
from inventory.services.order_drafts import DraftedLine, draft_order
from inventory.services.stock import refuse_no_lines

CALL_OFF_WITHIN = timedelta(days=60)
"""How long before a contract ends what is left of it is told: common practice, no source."""
_WORTH_TELLING = 10
"""Less than one part in so many of a contract is not worth telling."""


def draft_what_is_due(*, materials: Sequence[Material], actor: User, request_id: UUID) -> list[OrderDraft]:
    """What is to be ordered of these materials stands in the drafts of their suppliers, called off of open contracts.

    All of it or nothing. Raises NothingToDo where nothing of them is due.
    """
    due = [one for one in reorders(materials) if one.is_due]
    refuse_no_lines(due, "What is to be ordered")
    by_supplier: dict[Party, list[Reorder]] = defaultdict(list)
    for one in due:
        by_supplier[one.setting.supplier].append(one)
    with transaction.atomic():
        open_ones = _open_contracts(due)
        return [
            draft_order(
                supplier=supplier,
                lines=[_line(one, open_ones) for one in some],
                actor=actor,
                request_id=uuid5(request_id, supplier.code),
            )
            for supplier, some in sorted(by_supplier.items(), key=lambda item: item[0].pk)
        ]


def _open_contracts(due: Sequence[Reorder]) -> list[Calls]:
    today = brewery_day()
    found = calls_of(contracts().filter(material__in=[one.material for one in due], closed_at=None))
    return [one for one in found if one.is_open(today)]


def _line(one: Reorder, open_ones: Sequence[Calls]) -> DraftedLine:
    """Return the line; off the first contract to end that has all of it left, if there is one."""
    fitting: list[SupplyContract] = [
        calls.contract
        for calls in open_ones
        if (calls.contract.material_id, calls.contract.supplier_id) == (one.material.pk, one.setting.supplier_id)
        and calls.remaining_micro >= one.proposed_micro
    ]
    return DraftedLine(one.material, one.proposed_micro, one.comes_on, fitting[0] if fitting else None)


@alerts_of(
    "reorder",
    "To be ordered",
    after=(
        Bell.ORDER,
        Bell.PLAN,
    ),
)
def what_is_due(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each material of which what is there and coming is no more than its reorder point."""
    for one in reorders():
        if one.is_due:
            unit = one.material.base_unit
            coming = f" and {in_words(one.on_order_micro, unit)} on order" if one.on_order_micro else ""
            yield Cause(
                f"material {one.material.pk}",
                f"Of {one.material.name} {in_words(one.here_micro, unit)} are there{coming}, no more than the reorder "
                f"point of {_about(one.point_micro, unit)}. Order {in_words(one.proposed_micro, unit)} from "
                f"{one.setting.supplier.name}{_by(one.order_by)}.",
                Role.RECEIVING,
                Alert.Severity.URGENT if one.order_by == brewery_day(moment) else Alert.Severity.WARNING,
                reverse("reordering-material", args=[one.material.pk]),
                material_id=one.material.pk,
            )


def _about(micro: int, unit: str) -> str:
    return in_words(round(micro, -6), unit) if micro >= 10_000_000 else in_words(micro, unit)


def _by(day: date | None) -> str:
    return f" by {day.isoformat()}" if day else ""


@alerts_of("contract_ends", "Contract to call off")
def ending_contracts(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each contract that ends soon and of which much was not called off."""
    today = brewery_day(moment)
    found = contracts().filter(closed_at=None, ends_on__gte=today, ends_on__lte=today + CALL_OFF_WITHIN)
    for calls in calls_of(found):
        contract = calls.contract
        if calls.remaining_micro * _WORTH_TELLING > contract.quantity_micro:
            unit = contract.material.base_unit
            yield Cause(
                f"contract {contract.pk}",
                f"Contract {contract.number} with {contract.supplier.name} ends on {contract.ends_on.isoformat()}, and "
                f"{in_words(calls.remaining_micro, unit)} of {contract.material.name} are not called off.",
                Role.RECEIVING,
                Alert.Severity.NOTICE,
                reverse("contract", args=[contract.pk]),
                material_id=contract.material_id,
            )
