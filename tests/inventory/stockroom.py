"""What the tests of the stock say over and over: a reservation, and the stock of a lot or a material on a day."""

from datetime import date
from typing import Any

from inventory.models import Reservation
from inventory.queries.stock import LotStock, MaterialStock, stock_of_lots, stock_of_materials
from inventory.services.reservations import reserve
from tests.brewhouse import START, Brewhouse, micro

TODAY = START.date()


def keep(house: Brewhouse, lot: str, quantity: str, purpose: str, until: date | None = None, **who: Any) -> Reservation:
    """Reserve a quantity of a lot."""
    asked = {"lot": house.lot(lot), "quantity_micro": micro(quantity), "purpose": purpose, "until": until}
    return reserve(**asked, **(who or house.by("brewing")))


def of_lot(house: Brewhouse, lot: str, today: date = TODAY) -> LotStock:
    """Return the stock of the lot."""
    (stock,) = stock_of_lots([house.lot(lot)], today)
    return stock


def of_material(house: Brewhouse, material: str, today: date = TODAY) -> MaterialStock:
    """Return the stock of the material."""
    (stock,) = stock_of_materials([house.material(material)], today)
    return stock
