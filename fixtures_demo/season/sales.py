"""Sales: what wholesalers ordered before each shipment, what is still open, and who drove it.

Houses buy off the lorry without an order.
"""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date, datetime, timedelta

from .beers import DARK_LAGER, LAGER, PALE_ALE, STOUT, WHEAT, packaged
from .clerk import Entry
from .days import END, WORKDAYS, moment
from .dice import Dice
from .materials import code_of
from .paper import Paper
from .parties import WHOLESALERS

HAULIERS = (
    ("Eastlow Haulage", "EL-H 214", "R. Ferrow"),
    ("Eastlow Haulage", "EL-H 219", "M. Okello"),
    ("Sallow Valley Transport", "SV-T 88", "J. Prior"),
)
OWN_LORRY = ("Quillmere Brewery", "QM-B 7", "D. Alder")
NOTES = ("", "", "", "Deliver before ten", "Collect empty kegs", "Ring the depot first")
OPEN = (
    ("C03", "2026-08-26", "2026-08-27", ((packaged(LAGER, "K50"), 40), (packaged(WHEAT, "K30"), 12))),
    ("C01", "2026-08-27", "2026-08-31", ((packaged(PALE_ALE, "K30"), 30), (packaged(LAGER, "C24"), 200))),
    ("C06", "2026-08-27", "2026-09-01", ((packaged(STOUT, "K30"), 18),)),
    ("C08", "2026-08-28", "2026-09-02", ((packaged(LAGER, "K30"), 24), (packaged(DARK_LAGER, "K30"), 16))),
    ("C02", "2026-08-28", "2026-09-03", ((packaged(WHEAT, "C24"), 120),)),
)
"""Not shipped when the season ends: customer, when it was ordered, when it is wanted, and what. The first is late."""
STILL_TO_COME = 15
"""So many more than was shipped does the last shipped order ask for: the rest of it is open."""


def customer_orders(paper: Paper, dice: Dice) -> Iterator[Entry]:
    """Yield an order for each shipment to a wholesaler, whose rows name it, and the open ones."""
    shipments: dict[str, list[dict[str, str]]] = defaultdict(list)
    for row in paper.rows["shipments"]:
        shipments[row["record"]].append(row)
    materials = {row["packaged_lot"]: row["material"] for row in paper.rows["packagings"]}
    ordered = {record for record, rows in shipments.items() if rows[0]["customer"] in WHOLESALERS}
    plans = []
    for record, rows in shipments.items():
        carrier, vehicle, driver = dice.pick(HAULIERS) if record in ordered else OWN_LORRY
        seal = f"{dice.between(100000, 999999)}" if record in ordered else ""
        for row in rows:
            row |= {"carrier": carrier, "vehicle": vehicle, "driver": driver, "seal": seal}
        if record in ordered:
            left = datetime.fromisoformat(rows[0]["happened_at"])
            plans.append((_entered(left.date(), dice), left.date(), rows, _sums(rows, materials), dice.pick(NOTES)))
    last = max(plans, key=lambda plan: plan[2][0]["happened_at"])[3]
    last[next(iter(last))] += STILL_TO_COME
    for number, (entered, wanted_on, rows, wanted, note) in enumerate(sorted(plans, key=lambda plan: plan[0]), 1):
        order = f"SO-26-{number:03d}"
        for row in rows:
            row["order"] = order
        yield _order(order, rows[0]["customer"], entered, wanted_on, wanted, note)
    for number, (customer, day, wanted, lines) in enumerate(OPEN, len(plans) + 1):
        asked = {code_of(material): count for material, count in lines}
        entered = moment(date.fromisoformat(day), "16:20")
        yield _order(f"SO-26-{number:03d}", customer, entered, date.fromisoformat(wanted), asked, "")


def _sums(rows: list[dict[str, str]], materials: dict[str, str]) -> dict[str, int]:
    sums: dict[str, int] = defaultdict(int)
    for row in rows:
        sums[materials[row["lot"]]] += int(row["quantity"])
    return sums


def _entered(left: date, dice: Dice) -> datetime:
    """One to three workdays before it left."""
    before = [day for day in WORKDAYS if day < min(left, END)][-dice.between(1, 3)]
    return moment(before, "09:00") + timedelta(minutes=dice.between(0, 420))


def _order(order: str, customer: str, entered: datetime, wanted_on: date, wanted: dict[str, int], note: str) -> Entry:
    head = {"customer": customer, "order": order, "wanted_on": f"{wanted_on}", "note": note}
    head["customer_reference"] = f"{customer}/{order[-3:]}"
    lines = [{**head, "material": material, "count": str(count)} for material, count in wanted.items()]
    return Entry("customer_orders", entered, "receiving", lines)
