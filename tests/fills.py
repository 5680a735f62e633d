"""A packaging run in a random history: several codes from several tanks, gauged or not, crowns wasted, and its end."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from brewery.production.models import PackagingRun
from tests.model import Drain, Model, Part
from tests.telling import CAPACITY, MICRO, TANKS, Record

EACH = MICRO // 2
"""What one bottle holds."""


@dataclass(frozen=True)
class Drained:
    """What one tank is to give; and what its gauge says first, where it has one."""

    tank: str
    lot: str
    left: int
    gauge: int | None

    def told(self, *, is_read: bool) -> tuple[str, str, str, str]:
        """Return it as the brewhouse takes it: read by two gauges, by what left, or not at all."""
        if not is_read:
            return self.tank, "", "", ""
        if self.gauge is None:
            return self.tank, "", "", litres(self.left)
        return self.tank, litres(self.gauge), litres(self.gauge - self.left), ""


def litres(micro: int) -> str:
    """Return a volume as people write it."""
    return f"{micro // MICRO}.{micro % MICRO:06d} L"


def fill_a_run(history: Record) -> None:
    """Crowns are drawn, up to three codes are filled one after the other, and the run is finished, or left for now."""
    crowns = history.stocked("CROWN")
    if crowns is None or history.tank(empty=False) is None:
        return
    code, hours = history.code("P"), history.later()
    part = (crowns[0], crowns[1], history.amount(min(crowns[2], 800 * MICRO)))
    run = history.house.start_run(code, hours=hours)
    drawn = history.house.draw(run, *history.lines([part]), hours=hours)
    history.happened(lambda model: model.move(part[0], part[1], code, part[2]), drawn)
    for to_come in reversed(range(history.random.choice((1, 2, 3)))):
        _fill_a_code(history, run, part[0], 100 * to_come)
    if history.random.random() < 0.8:
        _finish(history, run, part[0])


def _fill_a_code(history: Record, run: PackagingRun, crown: str, to_come: int) -> None:
    random, lying = history.random, history.model.held[crown, run.code]
    drains = _drains(history)
    left = sum(one.left for one in drains)
    if not lying or left < EACH:
        return
    count = random.randrange(max(1, left * 4 // 5 // EACH), left // EACH + 1)
    rejects = min(random.randrange(4), left // EACH - count)
    is_open = random.random() < 0.5
    loss = left - (count + rejects) * EACH if is_open else 0
    wasted = history.amount(lying // 20) if lying >= 20 and random.random() < 0.5 else 0
    explicit = history.amount(lying - wasted) if random.random() < 0.5 else None
    used = _by_count(lying - wasted, count + rejects, to_come) if explicit is None else explicit
    code, hours = history.code("K"), history.later()
    gained = [one for one in drains if one.gauge and one.gauge > history.model.held[one.lot, one.tank]]
    gained = [one for one in gained if not (is_open and one == drains[-1])]
    event = history.house.fill(
        run,
        [one.told(is_read=not (is_open and one == drains[-1])) for one in drains],
        code,
        count,
        hours=hours,
        rejects=rejects,
        loss=litres(loss),
        used=None if explicit is None else history.lines([(crown, run.code, used)]),
        wasted=history.lines([(crown, run.code, wasted)] if wasted else []),
        still_to_come=to_come,
        gauge_reason="the gauge says more" if gained else "",
    )
    found = [(one.lot, one.tank, (one.gauge or 0) - history.model.held[one.lot, one.tank]) for one in gained]
    shares = _in_proportion(count * EACH, [one.left for one in drains])
    emptied: list[Drain] = [(one.tank, one.left, share) for one, share in zip(drains, shares, strict=True)]
    in_it: list[Part] = [(crown, run.code, used)] if used else []
    torn: list[Part] = [(crown, run.code, wasted)] if wasted else []

    def told(model: Model) -> None:
        for gain in found:
            model.count(*gain)
        model.fill(code, "BOTTLE500", count, emptied, in_it, torn)

    history.happened(told, event, is_alone=not found)


def _drains(history: Record) -> list[Drained]:
    """One tank or several, each to give some; some gauges say less than the book, some more."""
    random, model = history.random, history.model
    full = [tank for tank in TANKS if model.contents(tank)]
    drains = []
    for tank in random.sample(full, random.randrange(1, len(full) + 1)) if full else []:
        lot = str(model.contents(tank))
        held = model.held[lot, tank]
        left = history.amount(min(held, 300 * MICRO))
        gauge = min(CAPACITY, max(left, held + random.choice((-5, 0, 3)) * MICRO)) if random.random() < 0.6 else None
        drains.append(Drained(tank, lot, left, gauge))
    return drains


def _by_count(lying: int, filled: int, to_come: int) -> int:
    """Of the crowns that lie in the run a fill takes its share by count, in whole ones, and the last one the rest."""
    return lying * filled // (filled + to_come) // MICRO * MICRO if to_come else lying


def _in_proportion(whole: int, weights: Sequence[int]) -> list[int]:
    """Whole numbers up to each weight in turn, so that they add up to the whole."""
    marks = [whole * sum(weights[:number]) // sum(weights) for number in range(len(weights) + 1)]
    return [upper - lower for lower, upper in pairwise(marks)]


def _finish(history: Record, run: PackagingRun, crown: str) -> None:
    lying, hours = history.model.held[crown, run.code], history.later()
    back = history.amount(lying) if lying and history.random.random() < 0.7 else 0
    returns = history.lines([(crown, "STORE", back)]) if back else []
    event = history.house.finish_run(run, *returns, hours=hours)

    def told(model: Model) -> None:
        model.move(crown, run.code, "STORE", back)
        model.move(crown, run.code, "loss", lying - back)

    history.happened(told, event)
