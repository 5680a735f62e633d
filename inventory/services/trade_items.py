"""The register of trade items: which GTIN stands for how much of which material."""

from uuid import UUID

from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.science.gs1 import Gs1Error, gtin_14
from inventory.models import Material, TradeItem
from inventory.services.checks import in_words


@once("add_trade_item", returns=TradeItem)
def add_trade_item(
    *,
    gtin: str,
    material: Material,
    actor: User,
    request_id: UUID,
    name: str = "",
    content_micro: int | None = None,
) -> TradeItem:
    """Enter a GTIN for a material; scans of it then give the material, and how much one item holds.

    `content_micro` is in micro-units of the material's base unit. Raises InvalidInput for what is no GTIN, or in use.
    """
    try:
        number = gtin_14(gtin)
    except Gs1Error as fault:
        raise InvalidInput(field="gtin", value=gtin, problem=str(fault)) from fault
    bearer = TradeItem.objects.filter(gtin=number).select_related("material").first()
    if bearer:
        raise InvalidInput(field="gtin", value=gtin, problem=f"It stands for {bearer.material} already.")
    if content_micro is not None and content_micro <= 0:
        told = in_words(content_micro, material.base_unit)
        raise InvalidInput(field="content", value=told, problem="Give what one item holds, above zero.")
    return TradeItem.objects.create(gtin=number, material=material, name=name, content_micro=content_micro)
