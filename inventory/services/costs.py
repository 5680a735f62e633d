"""Costs: what a lot cost, for breweries that keep it here. The newest record counts; none is changed."""

from uuid import UUID

from brewery.kernel.clock import now
from brewery.kernel.errors import DomainError, InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Lot, LotCost

LARGEST_E4 = 10**15
"""A hundred thousand million of the currency a unit: a bound, so that no sum leaves what can be shown."""


class OtherCurrency(DomainError):
    code = "other_currency"
    title = "The material is valued in another currency."
    template = "Lots of {material} are valued in {kept}; {given} cannot be added to it."
    advice = "Convert the cost, by the rate of the day of the invoice."


@once("record_cost", returns=LotCost)
def record_cost(*, lot: Lot, unit_cost_e4: int, currency: str, actor: User, request_id: UUID) -> LotCost:
    """One base unit of the lot cost so many ten-thousandths of the currency (ISO 4217).

    Raises InvalidInput, and OtherCurrency where other lots of the material are valued in another one.
    """
    if not 0 <= unit_cost_e4 < LARGEST_E4:
        raise InvalidInput(field="unit_cost", value=unit_cost_e4, problem="Give a cost of zero or more.")
    if not (len(currency) == 3 and currency.isascii() and currency.isalpha() and currency.isupper()):
        raise InvalidInput(field="currency", value=currency, problem="Give a code of three capitals, as in EUR.")
    other = LotCost.objects.filter(lot__material=lot.material_id).exclude(currency=currency).first()
    if other:
        raise OtherCurrency(material=lot.material, kept=other.currency, given=currency, field="currency")
    return LotCost.objects.create(
        lot=lot,
        unit_cost_e4=unit_cost_e4,
        currency=currency,
        recorded_at=now(),
        actor=actor,
        request_id=request_id,
    )
