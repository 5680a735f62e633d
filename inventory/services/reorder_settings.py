"""Settings of reordering: from whom a material is ordered, how sure one wants to be, and how much at once."""

from uuid import UUID

from brewery.kernel.clock import now
from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Material, Party, ReorderSetting
from inventory.services.checks import refuse_not_positive
from inventory.services.orders import refuse_no_supplier
from inventory.services.refusals import WrongMaterial

BOUGHT = (
    Material.Kind.MALT,
    Material.Kind.ADJUNCT,
    Material.Kind.HOP,
    Material.Kind.YEAST,
    Material.Kind.SALT,
    Material.Kind.FINING,
    Material.Kind.FILTER_AID,
    Material.Kind.PACKAGING,
)
LONGEST_DAYS = 730


@once("set_reordering", returns=ReorderSetting)
def set_reordering(
    *,
    material: Material,
    supplier: Party,
    lead_days: int,
    policy: str,
    quantity_micro: int,
    actor: User,
    request_id: UUID,
    service_ppm: int = 950_000,
    review_days: int = 7,
    pack_micro: int | None = None,
    least_micro: int | None = None,
    is_ended: bool = False,
) -> ReorderSetting:
    """From now on the material is reordered so, or no longer where `is_ended` says that.

    Raises WrongMaterial for what is not bought, NoSupplier, InvalidInput.
    """
    if material.kind not in BOUGHT:
        raise WrongMaterial(
            lot=material.name, kind=material.get_kind_display(), wanted="something that is bought", field="material"
        )
    refuse_no_supplier(supplier)
    _refuse_days("lead_days", lead_days)
    _refuse_days("review_days", review_days)
    if not 500_000 <= service_ppm < 1_000_000:
        raise InvalidInput(field="service", value=service_ppm / 10_000, problem="Give 50 % or more, and less than all.")
    if policy not in ReorderSetting.Policy.values:
        told = ", ".join(ReorderSetting.Policy.values)
        raise InvalidInput(field="policy", value=policy, problem=f"Choose one of {told}.")
    for field, micro in (("quantity", quantity_micro), ("pack", pack_micro), ("least", least_micro)):
        if micro is not None:
            refuse_not_positive(micro, field, material.base_unit)
    return ReorderSetting.objects.create(
        material=material,
        supplier=supplier,
        service_ppm=service_ppm,
        review_days=review_days,
        lead_days=lead_days,
        policy=policy,
        quantity_micro=quantity_micro,
        pack_micro=pack_micro,
        least_micro=least_micro,
        is_ended=is_ended,
        recorded_at=now(),
        actor=actor,
        request_id=request_id,
    )


def _refuse_days(field: str, days: int) -> None:
    if not 0 <= days <= LONGEST_DAYS:
        raise InvalidInput(field=field, value=days, problem=f"Give 0 to {LONGEST_DAYS} days.")
