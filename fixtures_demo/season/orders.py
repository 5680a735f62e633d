"""Purchase orders: what was asked for before each delivery, and what is still to come when the season ends."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date, datetime, timedelta

from .clerk import Entry
from .contracts import CONTRACT_OF
from .days import END, moment, workday_after
from .dice import Dice
from .materials import MATERIALS
from .paper import Paper
from .quantities import THOUSANDTHS, written

OPEN = (
    ("S16", (("Bottle label, Quillmere Lager", "60000", "each"),), date(2026, 8, 18), date(2026, 8, 26)),
    ("S01", (("Pilsner malt", "8", "t"), ("Munich malt", "1200", "kg")), date(2026, 8, 26), date(2026, 9, 2)),
    ("S11", (("Isinglass finings", "20", "L"),), date(2026, 8, 27), date(2026, 9, 8)),
    ("S17", (("Keg cap, tamper-evident", "2500", "each"),), date(2026, 8, 27), date(2026, 9, 4)),
)
"""On order and not there yet: supplier, lines, when it was ordered, and by when it should come. The first is late."""


def orders(paper: Paper, dice: Dice) -> Iterator[Entry]:
    """Yield an order for each delivery, whose lines name it, and the open ones."""
    deliveries: dict[str, list[dict[str, str]]] = defaultdict(list)
    for row in paper.rows["deliveries"]:
        deliveries[row["record"]].append(row)
    plans: list[tuple[date, str, list[dict[str, str]], list[dict[str, str]]]] = []
    mistakes = {row["reverses_record"]: row["happened_at"] for row in paper.rows["reversals"]}
    for record, rows in deliveries.items():
        if rows[0]["unit"] == "hL" or record in mistakes:
            continue  # liquor is metered, and what was typed wrong was ordered as what was booked again
        came = datetime.fromisoformat(rows[0]["happened_at"]).date()
        due = came - timedelta(days=1) if dice.chance(0.12) and came.day > 6 else came
        lines = [_line(*key, amount, due) for key, amount in _sums(rows).items()]
        plans.append((_ordered_on(came, due, dice), rows[0]["supplier"], lines, rows))
    for supplier, asked, ordered_on, due in OPEN:
        lines = [
            {"material": MATERIALS[name].code, "quantity": quantity, "unit": unit, "due_on": f"{due}"}
            for name, quantity, unit in asked
        ]
        plans.append((ordered_on, supplier, lines, []))
    for number, (ordered_on, supplier, lines, rows) in enumerate(sorted(plans, key=lambda plan: plan[0]), 1):
        order = f"PO-26-{number:03d}"
        for row in rows:
            row["order"] = order
        cells = [{"supplier": supplier, "order": order, **line} for line in lines]
        yield Entry("purchase_orders", moment(ordered_on, "15:40"), "receiving", cells)


def _sums(rows: list[dict[str, str]]) -> dict[tuple[str, str], int]:
    sums: dict[tuple[str, str], int] = defaultdict(int)
    for row in rows:
        sums[row["material"], row["unit"]] += _thousandths(row)
    return sums


def _thousandths(row: dict[str, str]) -> int:
    whole, _, rest = row["quantity"].partition(".")
    return (int(whole) * 1000 + int(f"{rest:0<3}")) * THOUSANDTHS[row["unit"]] // 1000


def _line(material: str, unit: str, amount: int, due: date) -> dict[str, str]:
    line = {"material": material, "quantity": written(amount, unit), "unit": unit, "due_on": f"{due}"}
    return line | ({"contract": CONTRACT_OF[material]} if material in CONTRACT_OF else {})


def _ordered_on(came: date, due: date, dice: Dice) -> date:
    """Two or three workdays before; what opens the season was ordered a week before it."""
    if came <= date(2026, 3, 4):
        return date(2026, 2, 23)
    day = due - timedelta(days=dice.between(2, 5))
    return min(day if day.weekday() < 5 else workday_after(day - timedelta(days=3)), due, END)
