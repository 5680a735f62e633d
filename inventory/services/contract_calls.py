"""Calling off of contracts: an order takes no more of one than it has left, of its material, from its supplier."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date

from brewery.kernel.errors import DomainError
from inventory.models import Material, Party, SupplyContract
from inventory.queries.supply_contracts import calls_of
from inventory.services.checks import in_words


class OtherContract(DomainError):
    code = "other_contract"
    status = 400
    title = "The contract is not for this."
    template = "Contract {number} is for {material} from {supplier}, from {begins_on} to {ends_on}{closed}."
    advice = "Choose a contract for this material, supplier and day, or order without one."


class BeyondContract(DomainError):
    code = "beyond_contract"
    title = "The contract has not that much left."
    template = "Of contract {number} {remaining} is left; {asked} was asked for."
    advice = "Call off less, and order the rest without the contract."


def refuse_beyond_contracts(
    lines: Sequence[tuple[SupplyContract | None, Material, int]], supplier: Party, ordered_on: date
) -> None:
    """Raise OtherContract or BeyondContract unless every contract that a line names has so much left for it.

    The contracts are locked, so that two orders never take the same rest.
    """
    keys = sorted({contract.pk for contract, _, _ in lines if contract})
    locked = {one.pk: one for one in SupplyContract.objects.select_for_update().filter(pk__in=keys).order_by("pk")}
    asked: dict[int, int] = defaultdict(int)
    for index, (contract, material, quantity_micro) in enumerate(lines):
        if contract is None:
            continue
        field = f"lines[{index}].contract"
        _refuse_other(locked[contract.pk], material, supplier, ordered_on, field)
        asked[contract.pk] += quantity_micro
        (calls,) = calls_of([locked[contract.pk]])
        if asked[contract.pk] > calls.remaining_micro:
            unit = material.base_unit
            raise BeyondContract(
                number=contract.number,
                remaining=in_words(calls.remaining_micro, unit),
                asked=in_words(asked[contract.pk], unit),
                field=f"lines[{index}].quantity",
            )


def _refuse_other(contract: SupplyContract, material: Material, supplier: Party, ordered_on: date, field: str) -> None:
    fits = contract.material_id == material.pk and contract.supplier_id == supplier.pk
    if fits and contract.closed_at is None and contract.begins_on <= ordered_on <= contract.ends_on:
        return
    raise OtherContract(
        number=contract.number,
        material=contract.material.name,
        supplier=contract.supplier.name,
        begins_on=contract.begins_on.isoformat(),
        ends_on=contract.ends_on.isoformat(),
        closed=", and closed" if contract.closed_at else "",
        field=field,
    )
