"""What is written when the season's stock is settled: papers that move nothing, each with chance of its own."""

from . import brew_sheets, laboratory, orders
from .clerk import Clerk
from .dice import Dice
from .logbook import Logbook
from .paper import Paper

SEEDS = {"certificates": 20260401, "orders": 20260402, "log": 20260403}


def complete(paper: Paper) -> None:
    """The papers hold settings, limits, orders, certificates, sheets and logs too."""
    certificates = laboratory.Certificates(paper, Dice(SEEDS["certificates"]))
    told = list(certificates.entries())
    logbook = Logbook(paper, Dice(SEEDS["log"]), certificates.alpha_of)
    laboratory.write_settings(paper)
    logbook.complete()
    entries = [*laboratory.limits(), *brew_sheets.sheets(), *orders.orders(paper, Dice(SEEDS["orders"])), *told]
    Clerk(paper).enter([*entries, *logbook.entries()])
