"""What is written when the season's stock is settled: papers that move nothing, each with chance of its own."""

from collections.abc import Sequence

from . import (
    brew_sheets,
    cleanings,
    climates,
    contacts,
    contracts,
    costs,
    laboratory,
    orders,
    results,
    sales,
    standards,
)
from .book import Turn
from .clerk import Clerk
from .dice import Dice
from .logbook import Logbook
from .paper import Paper
from .rounds import Rounds, TankBook

SEEDS = {
    "certificates": 20260401,
    "orders": 20260402,
    "log": 20260403,
    "contacts": 20260404,
    "rounds": 20260406,
    "results": 20260407,
    "sales": 20260408,
    "climates": 20260409,
    "extracts": 20260410,
    "costs": 20260411,
    "gauges": 20260412,
}


def complete(paper: Paper, rounds: Rounds, turns: Sequence[Turn]) -> None:
    """The papers hold settings, limits, orders, certificates, sheets, logs, cleanings, results and readings too."""
    certificates = laboratory.Certificates(paper, Dice(SEEDS["certificates"]))
    told = [*certificates.entries(), *certificates.of_yeast()]
    logbook = Logbook(paper, Dice(SEEDS["log"]), certificates.alpha_of)
    laboratory.write_settings(paper)
    logbook.complete()
    contacts.write_contacts(paper, Dice(SEEDS["contacts"]))
    entries = [
        *laboratory.limits(),
        *contacts.lives(),
        *brew_sheets.sheets(),
        *orders.orders(paper, Dice(SEEDS["orders"])),
        *told,
    ]
    Clerk(paper).enter([*entries, *logbook.entries()])
    cleanings.complete(paper, turns)
    Clerk(paper).enter([*standards.standards(), *results.package_limits()])
    Clerk(paper).enter(results.results(paper, Dice(SEEDS["results"]), Dice(SEEDS["extracts"])))
    Clerk(paper).enter(sales.customer_orders(paper, Dice(SEEDS["sales"])))
    Clerk(paper).enter(TankBook(rounds, logbook, Dice(SEEDS["rounds"])).entries())
    Clerk(paper).enter([*contracts.contracts(), *climates.climates(Dice(SEEDS["climates"]))])
    Clerk(paper).enter(costs.costs(paper, Dice(SEEDS["costs"])))
    Clerk(paper).enter(results.gauged(paper, rounds.seen, Dice(SEEDS["gauges"])))
