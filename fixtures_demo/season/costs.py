"""Costs: what the lots that came cost, as the invoices say, two days later."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from .clerk import Entry, plain
from .days import END, moment
from .dice import Dice
from .materials import code_of
from .paper import Paper

_EUR = {
    "Pilsner malt": 0.46,
    "Pale ale malt": 0.52,
    "Munich malt": 0.58,
    "Wheat malt": 0.55,
    "Caramel malt, light": 0.92,
    "Caramel malt, dark": 0.96,
    "Chocolate malt": 1.18,
    "Roasted barley": 1.02,
    "Acidulated malt": 1.24,
    "Dextrin malt": 0.88,
    "Flaked oats": 0.94,
    "Magnum hop pellets": 14.2,
    "Tettnanger hop pellets": 22.5,
    "Perle hop pellets": 15.8,
    "Hersbrucker hop pellets": 18.4,
    "Hallertau Mittelfrüh hop pellets": 23.6,
    "Saaz hop pellets": 21.9,
    "Northern Brewer hop pellets": 16.1,
    "Cascade hop pellets": 17.3,
    "Centennial hop pellets": 24.8,
    "Chinook hop pellets": 19.6,
    "Fuggle hop pellets": 20.7,
    "Bottle 0.33 L, brown": 0.112,
    "Crown cork 26 mm, plain": 0.0098,
    "Carton 24 x 0.33 L": 0.61,
    "Keg cap, tamper-evident": 0.045,
    "Kieselguhr, coarse": 1.15,
    "Kieselguhr, fine": 1.22,
}
"""Euros for a kilogram or for each: plausible, invented."""


def costs(paper: Paper, dice: Dice) -> Iterator[Entry]:
    """Yield the cost of each lot that came of these, with the price of its day."""
    price = {code_of(name): euros for name, euros in _EUR.items()}
    mistakes = {row["reverses_record"] for row in paper.rows["reversals"]}
    for row in paper.rows["deliveries"]:
        when = datetime.fromisoformat(row["happened_at"]) + timedelta(days=2)
        if row["material"] in price and row["record"] not in mistakes and when < moment(END, "18:00"):
            cost = price[row["material"]] * (1 + dice.between(-40, 40) / 1000)
            cells = {"lot": row["lot"], "unit_cost": plain(cost, 0.0001), "currency": "EUR"}
            yield Entry("lot_costs", when.replace(hour=10), "accounting", [cells])
