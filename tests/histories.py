"""Random histories of a brewery: each step is done through the services and told to the model, and can be told again.

A history is the same for the same seed. Whatever a step needs (an empty tank, yeast, something to ship) it looks up in
the model; a step for which nothing is there is left out.
"""

import math
from collections.abc import Callable

import pytest

from inventory.services.refusals import NotEnoughThen
from tests.fills import fill_a_run
from tests.model import Model, Part
from tests.telling import CAPACITY, MICRO, PACKAGED, RAW, STOCK, STORES, TANKS, UNITS, Record, Step


class History(Record):
    """A record of random steps."""

    def play(self, count: int) -> None:
        """Do so many random steps after a first delivery of each raw material."""
        for material in RAW:
            self.receive(material)
        for _ in range(count):
            self.random.choices([step for step, _ in STEPS], [weight for _, weight in STEPS])[0](self)

    def receive(self, material: str | None = None) -> None:
        material = material or self.random.choice(list(RAW))
        place = self.random.choice(RAW[material][1])
        quantity, lot, hours = (
            self.random.randrange(50, 900) * MICRO + self.random.randrange(3),
            self.code("R"),
            self.later(),
        )
        refills = place == "SILO1" and self.model.contents(place) is not None
        contents = self.code("S") if refills else ""
        event = self.house.deliver(
            material, lot, self.text(quantity, material), place, hours=hours, contents_code=contents
        )
        generation = 1 if material == "YEAST" else None
        if refills:
            self.happened(lambda model: model.refill(lot, material, place, quantity, contents), event)
        else:
            self.happened(lambda model: model.receive(lot, material, place, quantity, generation), event)

    def move(self) -> None:
        part = self.stocked("SAAZ", "PILS", "YEAST", places=(*STORES, "BRINK1"))
        if part:
            lot, origin, most = part
            takes_yeast = self.model.material[lot] == "YEAST" and self.model.contents("BRINK1") is None
            places = [*STORES, *(["BRINK1"] if takes_yeast else [])]
            target = self.random.choice([place for place in places if place != origin])
            quantity, why = self.amount(most), self.readied(target, lot) if target == "BRINK1" else ""
            code, hours = self.code("Y") if why else "", self.later()
            words = self.text(quantity, self.model.material[lot])
            event = self.house.move(lot, origin, target, words, hours=hours, contents=code, unclean=why)
            self.happened(lambda model: _go_over(model, (lot, origin, quantity), target, code), event)

    def clean(self) -> None:
        """An empty vessel is cleaned, whether it needs it or not."""
        vessel = self.random.choice((*TANKS, "BRINK1"))
        if self.model.contents(vessel) is None:
            self._clean(vessel)

    def readied(self, vessel: str, lot: str = "") -> str:
        """Clean an empty vessel for the lot, or leave it as it is and return why, where that is asked for."""
        if self.model.residue(vessel, lot) is None:
            return ""
        if self.random.random() < 0.5:
            return "the cleaning pump is down"
        self._clean(vessel)
        return ""

    def _clean(self, vessel: str) -> None:
        self.house.clean(vessel, hours=self.later())
        self.happened(lambda model: model.clean(vessel), None)

    def pour(self) -> None:
        """Malt from a store or the layered silo goes into the mixed one, on top of what is there or back to its own."""
        part = self.stocked("PILS", places=(*STORES, "SILO2"))
        if part:
            lot, origin, most = part
            quantity, hours, heel = self.amount(most), self.later(), self.model.contents("SILO1")
            mixes = heel is not None and heel != lot
            contents = self.code("S") if mixes else ""
            event = self.house.move(lot, origin, "SILO1", self.text(quantity, "PILS"), hours=hours, contents=contents)
            if mixes:
                self.happened(lambda model: model.pour(lot, origin, "SILO1", quantity, contents), event)
            else:
                self.happened(lambda model: model.move(lot, origin, "SILO1", quantity), event)

    def tell_late(self) -> None:
        """A move from store to store is told after what came later; it is refused if it cannot have been."""
        part = self.stocked(*RAW, places=STORES)
        if part is None:
            return
        lot, origin, most = part
        target = next(place for place in STORES if place != origin)
        quantity = self.amount(most)
        made, quarters = self.made_at[lot], round(4 * (self.hours - self.made_at[lot]))
        hours = made + self.random.randrange(quarters + 1) / 4 + 0.01 * (1 + self.told_late)
        self.told_late += 1
        words = self.text(quantity, self.model.material[lot])

        def told(model: Model) -> None:
            model.move(lot, origin, target, quantity)

        if not self.can_be_told(hours, told):
            with pytest.raises(NotEnoughThen):
                self.house.move(lot, origin, target, words, hours=hours)
            return
        event = self.house.move(lot, origin, target, words, hours=hours)
        self.steps.append(Step(hours, told, event))
        told(self.model)

    def brew(self) -> None:
        """Draw, bring something back perhaps, and knock out into one tank or two."""
        code, hours = self.code("B"), self.later()
        wanted = [self.stocked(material) for material in ("PILS", "SAAZ", "GYPSUM") if self.random.random() < 0.8]
        parts = [(lot, place, self.amount(most)) for lot, place, most in filter(None, wanted)]
        if not parts:
            return
        brew = self.house.start_brew(code, hours=hours)
        event = self.house.draw(brew, *self.lines(parts), hours=hours)
        self.happened(lambda model: [model.move(lot, place, code, part) for lot, place, part in parts] and None, event)
        if self.random.random() < 0.3:
            lot, _, drawn = self.random.choice(parts)
            back, hours = self.amount(drawn), self.later()
            event = self.house.bring_back(brew, *self.lines([(lot, "STORE", back)]), hours=hours)
            self.happened(lambda model: model.move(lot, code, "STORE", back), event)
        if self.random.random() < 0.9 and any(self.model.held[lot, code] for lot, _, _ in parts):
            self._knock_out(code)

    def _knock_out(self, code: str) -> None:
        wort, loss = self.code("W"), self.random.randrange(40) * MICRO
        tanks = self.random.sample(TANKS, self.random.choice((1, 1, 2)))
        tanks = [tank for tank in tanks if self.room(tank) > 100 * MICRO]
        unclean = {tank: why for tank in tanks if (why := self.readied(tank))}
        fills: list[tuple[str, int, str]] = []
        for tank in tanks:
            apart = self.model.contents(tank) is not None or (tank in unclean and len(tanks) > 1)
            volume = min(self.room(tank), self.random.randrange(100, 1500) * MICRO)
            fills.append((tank, volume, self.code("T") if apart else ""))
        if not fills:
            return
        hours = self.later()
        event = self.house.knock_out(
            self.house.brew(code),
            wort,
            {tank: (self.text(volume, "WORT"), contents) for tank, volume, contents in fills},
            loss=self.text(loss, "WORT"),
            hours=hours,
            unclean=next(iter(unclean.values()), ""),
        )
        is_alone = not any(contents for _, _, contents in fills)
        self.happened(lambda model: model.knock_out(code, wort, fills, loss), event, is_alone=is_alone)

    def pitch(self) -> None:
        tank, yeast = self.tank(empty=False), self.stocked("YEAST")
        if tank and yeast:
            code, hours = self.code("T"), self.later()
            part = (yeast[0], yeast[1], self.amount(yeast[2]))
            event = self.house.pitch(tank, code, *self.lines([part]), hours=hours)
            self.happened(lambda model: _pour(model, code, "LAGER", tank, [part]), event)

    def add(self) -> None:
        tank, addition = self.tank(empty=False), self.stocked("SAAZ", "ISINGLASS", "GYPSUM")
        if tank and addition:
            code, hours = self.code("T"), self.later()
            part = (addition[0], addition[1], self.amount(addition[2]))
            material = self.model.material[str(self.model.contents(tank))]
            event = self.house.add(tank, code, *self.lines([part]), hours=hours)
            self.happened(lambda model: _pour(model, code, material, tank, [part]), event)

    def transfer(self) -> None:
        origin = self.tank(empty=False)
        if origin is None:
            return
        target = self.random.choice([tank for tank in TANKS if tank != origin])
        lot, held = str(self.model.contents(origin)), self.model.contents(target)
        most = min(self.model.held[lot, origin], self.room(target))
        if most < 10 * MICRO:
            return
        whole, why = self.amount(most), self.readied(target, lot)
        hours = self.later()
        loss = whole // 50 if self.random.random() < 0.5 else 0
        quantity = whole - loss
        blends = held is not None and held != lot
        code = self.code("T") if blends or why else ""
        event = self.house.transfer(
            origin,
            target,
            self.text(quantity, "LAGER"),
            loss=self.text(loss, "LAGER"),
            contents=code,
            kind=self.random.choice(("blend", "kraeusen", "transfer")) if blends else "transfer",
            hours=hours,
            unclean=why,
        )

        def told(model: Model) -> None:
            if blends:
                into = str(model.contents(target))
                parts = [(into, target, model.held[into, target]), (lot, origin, quantity)]
                model.mix(code, model.material[into], parts, target)
            else:
                _go_over(model, (lot, origin, quantity), target, code)
            model.move(lot, origin, "loss", loss)

        self.happened(told, event)

    def harvest(self) -> None:
        tanks = [tank for tank in TANKS if self.model.contents(tank) in self.model.generation]
        if tanks:
            tank = self.random.choice(tanks)
            contents = str(self.model.contents(tank))
            beer, yeast = self.amount(self.model.held[contents, tank] // 10 or 1), self.code("Y")
            quantity = self.random.randrange(1, 60) * MICRO
            place = "BRINK1" if self.model.contents("BRINK1") is None else "COLD"
            why, hours = self.readied(place) if place == "BRINK1" else "", self.later()
            event = self.house.harvest(
                tank, self.text(beer, "LAGER"), yeast, self.text(quantity, "YEAST"), place, hours=hours, unclean=why
            )

            def told(model: Model) -> None:
                residue = model.residue(place, yeast) if place == "BRINK1" else None
                model.harvest(tank, beer, yeast, quantity, place)
                model.meet(residue, yeast)

            self.happened(told, event)

    def filter(self) -> None:
        origin, target, aid = self.tank(empty=False), self.tank(empty=True), self.stocked("KIESELGUHR")
        if origin and target and aid:
            lot, code, why = str(self.model.contents(origin)), self.code("T"), self.readied(target)
            hours = self.later()
            goes = self.amount(self.model.held[lot, origin])
            loss = goes // 100
            part = (aid[0], aid[1], self.amount(min(aid[2], 5 * MICRO)))
            event = self.house.filter(
                origin,
                target,
                code,
                self.text(goes - loss, "LAGER"),
                *self.lines([part]),
                loss=self.text(loss, "LAGER"),
                hours=hours,
                unclean=why,
            )

            def told(model: Model) -> None:
                residue, volume = model.residue(target, code), goes - loss
                model.mix(
                    code, model.material[lot], [(lot, origin, goes)], target, volume=volume, loss=loss, carried=[part]
                )
                model.meet(residue, code)

            self.happened(told, event)

    def package(self) -> None:
        tank, crowns = self.tank(empty=False), self.stocked("CROWN")
        if tank and crowns:
            contents = str(self.model.contents(tank))
            most = self.model.held[contents, tank] // (50 * MICRO)
            if not most:
                return
            count = self.random.randrange(1, most + 1)
            loss = self.amount(rest) if (rest := self.model.held[contents, tank] - count * 50 * MICRO) else 0
            run_code, code, hours = self.code("P"), self.code("K"), self.later()
            part = (crowns[0], crowns[1], self.amount(min(crowns[2], 400 * MICRO)))
            run = self.house.start_run(run_code, hours=hours)
            drawn = self.house.draw(run, *self.lines([part]), hours=hours)
            self.happened(lambda model: model.move(part[0], part[1], run_code, part[2]), drawn)
            event = self.house.package(run, tank, code, count, loss=self.text(loss, "LAGER"), hours=self.later())
            self.happened(lambda model: model.package(run_code, tank, code, "KEG50", count, 50 * MICRO, loss), event)

    def ship(self) -> None:
        part = self.stocked(*PACKAGED)
        if part:
            lot, place, most = part
            customer, quantity, hours = self.random.choice(("INN", "MARKET")), self.amount(most), self.later()
            event = self.house.ship(customer, *self.lines([(lot, place, quantity)]), hours=hours)
            self.happened(lambda model: model.move(lot, place, f"customer:{customer}", quantity), event)

    def take_back(self) -> None:
        part = self.stocked(*PACKAGED, places=("customer:INN", "customer:MARKET"))
        if part:
            lot, place, most = part
            quantity, hours = self.amount(most), self.later()
            line = self.lines([(lot, "COLD", quantity)])
            event = self.house.take_back(place.removeprefix("customer:"), *line, hours=hours)
            self.happened(lambda model: model.move(lot, place, "COLD", quantity), event)

    def count(self) -> None:
        """A count or gauge, up or down."""
        part = self.stocked(*UNITS, places=(*STOCK, *TANKS))
        if part:
            lot, place, held = part
            found = held + self.random.choice((-1, 1)) * self.random.randrange(held // 5 + 1)
            if place in TANKS:
                found = min(found, CAPACITY)
            hours = self.later()
            event = self.house.count(lot, place, self.text(found, self.model.material[lot]), hours=hours)
            self.happened(lambda model: model.count(lot, place, found - held), event)

    def destroy(self) -> None:
        part = self.stocked(*UNITS)
        if part:
            lot, place, most = part
            quantity, hours = self.amount(most), self.later()
            event = self.house.destroy(lot, place, self.text(quantity, self.model.material[lot]), hours=hours)
            self.happened(lambda model: model.move(lot, place, "destroyed", quantity), event)

    def sample(self) -> None:
        part = self.stocked(*UNITS, places=(*STOCK, *TANKS))
        if part:
            lot, place, most = part
            quantity, hours = min(most, self.random.randrange(1, MICRO)), self.later()
            event = self.house.sample(lot, place, self.text(quantity, self.model.material[lot]), hours=hours)
            self.happened(lambda model: model.move(lot, place, "LAB", quantity), event)

    def reverse(self) -> None:
        """The last step was a mistake. What made two events at once is left alone."""
        last = self.steps[-1]
        if last.event and last.is_alone:
            self.house.reverse(last.event)
            self.steps.pop()
            self.model = self.told_until(math.inf)


def _go_over(model: Model, part: Part, vessel: str, code: str) -> None:
    """The part lies in the other place, as a lot of its own where it has a code and takes up a residue."""
    lot, origin, quantity = part
    if not code:
        model.move(lot, origin, vessel, quantity)
        return
    residue = model.residue(vessel, lot)
    model.mix(code, model.material[lot], [part], vessel)
    model.meet(residue, code)


def _pour(model: Model, code: str, material: str, tank: str, parts: list[Part]) -> None:
    """The tank's contents and some additions become new contents of the same volume."""
    held = str(model.contents(tank))
    volume = model.held[held, tank]
    model.mix(code, material, [(held, tank, volume), *parts], tank, volume=volume)


STEPS: tuple[tuple[Callable[[History], None], int], ...] = (
    (History.receive, 4),
    (History.move, 2),
    (History.pour, 2),
    (History.tell_late, 2),
    (History.brew, 6),
    (History.pitch, 4),
    (History.add, 3),
    (History.transfer, 4),
    (History.harvest, 3),
    (History.filter, 2),
    (History.package, 3),
    (fill_a_run, 4),
    (History.ship, 4),
    (History.take_back, 3),
    (History.count, 2),
    (History.destroy, 1),
    (History.sample, 1),
    (History.clean, 1),
    (History.reverse, 1),
)
