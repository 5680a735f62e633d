"""Contracts of supply: entered once, called off by orders, and closed when no more will be called off."""

from datetime import date
from uuid import UUID

from brewery.kernel.clock import now, on_the_wall
from brewery.kernel.errors import DomainError, InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Material, Party, SupplyContract
from inventory.services.checks import refuse_not_positive
from inventory.services.orders import refuse_no_supplier
from inventory.services.refusals import ReasonMissing


class ContractNumberTaken(DomainError):
    code = "contract_number_taken"
    title = "The contract's number is taken."
    template = "Contract {number} with {supplier} is entered already."
    advice = "Look it up, or give this one another number."


class ContractClosed(DomainError):
    code = "contract_closed"
    title = "The contract is closed already."
    template = "Contract {number} was closed on {closed_at}: {reason}."


@once("enter_contract", returns=SupplyContract)
def enter_contract(
    *,
    number: str,
    supplier: Party,
    material: Material,
    quantity_micro: int,
    begins_on: date,
    ends_on: date,
    actor: User,
    request_id: UUID,
    crop_year: int | None = None,
    note: str = "",
) -> SupplyContract:
    """The contract may be called off from its first day through its last.

    Raises NoSupplier, ContractNumberTaken, InvalidInput.
    """
    refuse_no_supplier(supplier)
    refuse_not_positive(quantity_micro, "quantity", material.base_unit)
    if not number.strip():
        raise InvalidInput(field="number", value=number, problem="A contract has a number.")
    if ends_on < begins_on:
        told = f"It cannot end before it begins, on {begins_on.isoformat()}."
        raise InvalidInput(field="ends_on", value=ends_on.isoformat(), problem=told)
    if crop_year is not None and not 1990 <= crop_year <= 2999:
        raise InvalidInput(field="crop_year", value=crop_year, problem="Give the year of the harvest.")
    there = SupplyContract.objects.filter(number=number).select_related("supplier").first()
    if there:
        raise ContractNumberTaken(number=number, supplier=there.supplier.name, field="number")
    return SupplyContract.objects.create(
        number=number,
        supplier=supplier,
        material=material,
        quantity_micro=quantity_micro,
        begins_on=begins_on,
        ends_on=ends_on,
        crop_year=crop_year,
        note=note,
        request_id=request_id,
    )


@once("close_contract", returns=SupplyContract)
def close_contract(*, contract: SupplyContract, reason: str, actor: User, request_id: UUID) -> SupplyContract:
    """Nothing more is called off of the contract. Raises ReasonMissing, ContractClosed."""
    if not reason.strip():
        raise ReasonMissing(what="Closing a contract", field="reason")
    locked = SupplyContract.objects.select_for_update().get(pk=contract.pk)
    if locked.closed_at:
        moment = on_the_wall(locked.closed_at)
        raise ContractClosed(number=locked.number, closed_at=moment, reason=locked.closed_reason, field="contract")
    locked.closed_at, locked.closed_reason = now(), reason
    locked.save(update_fields=["closed_at", "closed_reason"])
    return locked
