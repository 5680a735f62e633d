"""The brewing plan: which beer is brewed next, into which tanks, as soon as tanks and yeast are there."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from .beers import DARK_LAGER, HOP_ALE, LAGER, PALE_ALE, STOUT, WHEAT, Beer
from .brewhouse import Brewhouse
from .cellar import Cellar
from .charges import SIZES, Charge
from .days import END, WORKDAYS, workday_after
from .desk import Desk
from .places import FERMENTERS, PLACES
from .quantities import HL, KG
from .yeast import Yeast

# For each way to fill tanks: the capacities in hL, and for each brew the share that goes to each tank.
FILLS: dict[str, tuple[tuple[int, ...], tuple[dict[int, float], ...]]] = {
    "single": ((65,), ({0: 1},)),
    "double": ((130,), ({0: 1}, {0: 1})),
    "triple": ((180,), ({0: 1}, {0: 1}, {0: 1})),
    "pair": ((130, 130), ({0: 1}, {0: 0.5, 1: 0.5}, {1: 1})),
    "split": ((65, 65), ({0: 0.5, 1: 0.5},)),
    "twins": ((65, 65), ({0: 1}, {1: 1})),
}
_BLENDED_AT_RACKING = ("split", "twins")


@dataclass
class Queue:
    """The batches of one yeast strain in their order, the first due on a day and the others `gap` days apart."""

    first: date
    gap: float
    batches: Sequence[tuple[Beer, str]]
    started: int = field(default=0)

    @property
    def due(self) -> date:
        """When the next batch is due."""
        return self.first + timedelta(days=int(self.started * self.gap))


def _batches(text: str, beers: dict[str, Beer]) -> list[tuple[Beer, str]]:
    return [(beers[code], fill) for code, fill in (batch.split(":") for batch in text.split())]


def season_queues() -> list[Queue]:
    """The four strains' batches: 89 brews, with one more under way when the season ends."""
    lagers = (
        "QL:double DL:double QL:triple QL:double QL:pair QL:double DL:double QL:triple QL:double QL:double "
        "QL:pair DL:double QL:triple QL:double QL:double DL:double QL:triple QL:double QL:double"
    )
    ales = (
        "PA:double HA:single PA:single HA:double PA:split PA:double HA:single PA:single HA:double PA:twins "
        "HA:single PA:double PA:single HA:single PA:double HA:double PA:split PA:single HA:single PA:double"
    )
    beers = {"QL": LAGER, "DL": DARK_LAGER, "PA": PALE_ALE, "HA": HOP_ALE}
    return [
        Queue(date(2026, 3, 4), 9.2, _batches(lagers, beers)),
        Queue(date(2026, 3, 6), 8.6, _batches(ales, beers)),
        Queue(date(2026, 3, 11), 9, [(STOUT, "single")] * 6),
        Queue(date(2026, 4, 21), 9, [(WHEAT, "single")] * 10),
    ]


class Plan:
    """Decides two workdays ahead what is brewed."""

    def __init__(self, desk: Desk, yeast: Yeast, cellar: Cellar, brewhouse: Brewhouse) -> None:
        self._desk = desk
        self._yeast = yeast
        self._cellar = cellar
        self._brewhouse = brewhouse
        self._queues = season_queues()
        self._taken: set[date] = set()

    def check(self) -> None:
        """The brewhouse knows what to brew two workdays from now, if anything can be brewed then."""
        day = workday_after(self._desk.diary.today, 2)
        if day in self._taken:
            return
        waiting = [queue for queue in self._queues if queue.started < len(queue.batches) and queue.due <= day]
        for queue in sorted(waiting, key=lambda queue: queue.due):
            if self._start(queue, day):
                return

    def _start(self, queue: Queue, day: date) -> bool:
        beer, fill = queue.batches[queue.started]
        sizes, brews = FILLS[fill]
        days = [day + timedelta(days=count) for count in range(len(brews))]
        tanks = self._free_tanks(sizes)
        if not tanks or any(each in self._taken or each not in WORKDAYS or each >= END for each in days):
            return False
        charges = self._charges(beer, tanks, brews)
        if not self._yeast_is_there(queue, beer.strain, sum(charge.size.pitch for charge in charges), day):
            return False
        self._commit(queue, charges, list(zip(days, brews, strict=True)), blended=fill in _BLENDED_AT_RACKING)
        return True

    def _free_tanks(self, sizes: Sequence[int]) -> list[str]:
        free = [tank for tank in FERMENTERS if self._cellar.is_free(tank)]
        tanks: list[str] = []
        for size in sizes:
            fitting = [tank for tank in free if PLACES[tank].capacity == size * HL and tank not in tanks]
            if not fitting:
                return []
            tanks.append(fitting[(self._desk.diary.today.toordinal()) % len(fitting)])
        return tanks

    def _charges(self, beer: Beer, tanks: Sequence[str], brews: Sequence[dict[int, float]]) -> list[Charge]:
        return [
            Charge(
                tank,
                beer,
                size=SIZES[sum(shares.get(index, 0) for shares in brews)],
                brews=sum(index in shares for shares in brews),
            )
            for index, tank in enumerate(tanks)
        ]

    def _yeast_is_there(self, queue: Queue, strain: str, need: int, day: date) -> bool:
        """True if the need is in the brinks, will be cropped by then, or had to be ordered because no crop is near."""
        promised = self._cellar.pitches_due(strain)
        coming = self._cellar.crops_expected(strain, day) + self._yeast.on_order(strain)
        if self._yeast.ready(strain, day + timedelta(days=1)) + coming >= need + promised:
            return True
        near = self._cellar.crops_expected(strain, day + timedelta(days=4))
        if near and (day - queue.due).days < 7:
            return False
        self._yeast.order_culture(strain, (need // (25 * KG) + 1) * 25 * KG)
        return True

    def _commit(
        self, queue: Queue, charges: list[Charge], brews: list[tuple[date, dict[int, float]]], *, blended: bool
    ) -> None:
        queue.started += 1
        self._cellar.reserve(charges, blended=blended)
        for day, shares in brews:
            self._taken.add(day)
            fills = [(charges[index], share) for index, share in shares.items()]
            self._brewhouse.schedule(day, charges[0].beer, fills)
