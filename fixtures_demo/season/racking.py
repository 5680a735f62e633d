"""The lager cellar: kraeusen goes into maturing beer, and what is ready is filtered, racked or blended."""

from collections.abc import Sequence
from functools import partial

from .book import LOSS, TRANSFORMED
from .cellar import Cellar
from .charges import Charge
from .desk import Desk
from .packaging import Packaging
from .places import BRIGHT_TANKS, PLACES
from .quality import Quality
from .quantities import HL, L, rounded, written
from .store import Store

KRAEUSEN_AGE = range(3, 6)
MATURING_AGE = range(9, 17)
HELD_RACKING = 12


class Racking:
    """Empties fermenters."""

    def __init__(self, desk: Desk, store: Store, cellar: Cellar, quality: Quality, packaging: Packaging) -> None:
        self._desk = desk
        self._store = store
        self._cellar = cellar
        self._quality = quality
        self._packaging = packaging
        self._rackings = 0

    def check(self) -> None:
        """Kraeusen is given where it can be, and every charge that is ready and finds a bright tank is racked."""
        self._kraeusen()
        for charge in list(self._cellar.charges):
            if charge in self._cellar.charges and self._is_ready(charge):
                self._rack([charge, *charge.blended_with])

    def _is_ready(self, charge: Charge) -> bool:
        today = self._desk.diary.today
        return all(
            other.full and other.ready_on and other.ready_on <= today for other in (charge, *charge.blended_with)
        )

    def _kraeusen(self) -> None:
        """High kraeusen of a young lager goes into a maturing one: about a tenth of its volume."""
        today = self._desk.diary.today
        lagers = [charge for charge in self._cellar.charges if charge.beer.code == "QL" and charge.full]
        young = [one for one in lagers if one.age(today) in KRAEUSEN_AGE and not one.kraeusen_taken]
        old = [one for one in lagers if one.age(today) in MATURING_AGE and not one.kraeusen_given]
        for source, target in zip(young, old, strict=False):
            room = PLACES[target.vessel].capacity - self._desk.book.volume(target.vessel)
            amount = min(room - HL, rounded(self._desk.book.volume(target.vessel) * 0.11, 10 * L), 12 * HL)
            if amount >= 5 * HL:
                source.kraeusen_taken = target.kraeusen_given = True
                target.generation = max(target.generation, source.generation)
                self._blend("kraeusen", source.vessel, target.vessel, rounded(amount - 5 * L, 10 * L), 20 * L)

    def _rack(self, charges: Sequence[Charge]) -> None:
        beer = charges[0].beer
        volume = sum(self._desk.book.volume(charge.vessel) for charge in charges)
        targets = self._bright_tanks(volume, single=len(charges) > 1)
        if not targets:
            return
        self._rackings += 1
        if beer.filtered:
            self._filter(charges[0], targets)
        else:
            self._transfer(charges[0], targets)
        for charge in charges[1:]:
            held = self._desk.book.volume(charge.vessel)
            loss = self._bottoms(held)
            self._blend("blend", charge.vessel, targets[0], held - loss, loss)
        for charge in charges:
            self._cellar.charges.remove(charge)
        for target in targets:
            self._finish(target, charges[0])

    def _bright_tanks(self, volume: int, *, single: bool) -> list[str]:
        """The smallest free tank that takes the volume, or else two that take it together."""
        free = [tank for tank in BRIGHT_TANKS if not self._desk.book.contents(tank)]
        fitting = [tank for tank in free if PLACES[tank].capacity >= volume]
        if fitting:
            return [min(fitting, key=lambda tank: PLACES[tank].capacity)]
        if single or len(free) < 2 or sum(PLACES[tank].capacity for tank in free[:2]) < volume + 6 * HL:
            return []
        return free[:2]

    def _bottoms(self, volume: int) -> int:
        """What stays behind in sediment, so that what leaves is a round number: about one part in a hundred."""
        wanted = int(volume * self._desk.dice.between(8, 13) / 1000)
        return volume - rounded(volume - wanted, 10 * L)

    def _shares(self, vessel: str, targets: Sequence[str]) -> list[tuple[str, int, int]]:
        """For each target how much arrives and how much is lost; the last empties the vessel."""
        left = self._desk.book.volume(vessel)
        shares = []
        for target in targets[:-1]:
            amount = rounded(min(PLACES[target].capacity - 5 * HL, left * 0.6), 10 * L)
            loss = rounded(amount * 0.005, 10 * L)
            shares.append((target, amount, loss))
            left -= amount + loss
        loss = self._bottoms(left)
        return [*shares, (targets[-1], left - loss, loss)]

    def _transfer(self, charge: Charge, targets: Sequence[str]) -> None:
        for target, amount, loss in self._shares(charge.vessel, targets):
            lot = self._contents(charge.vessel)
            record = self._desk.record("transfers", "brewing")
            record.row(
                kind="transfer",
                from_vessel=charge.vessel,
                to_vessel=target,
                loss=written(loss, "hL"),
                **self._desk.quantity(amount, "hL"),
            )
            self._desk.book.post(lot, charge.vessel, target, amount)
            self._desk.book.post(lot, charge.vessel, LOSS, loss)

    def _filter(self, charge: Charge, targets: Sequence[str]) -> None:
        for target, amount, loss in self._shares(charge.vessel, targets):
            lot = self._contents(charge.vessel)
            contents = self._desk.code("BE", 4)
            record = self._desk.record("filtrations", "brewing")
            for aid, dose in (("Kieselguhr, coarse", 60), ("Kieselguhr, fine", 45)):
                for aid_lot, place, mass in self._store.pick(aid, rounded(amount / HL * dose, 100), ("DRY",)):
                    record.row(
                        from_vessel=charge.vessel,
                        to_vessel=target,
                        contents_lot=contents,
                        loss=written(loss, "hL"),
                        aid_lot=aid_lot,
                        aid_location=place,
                        aid_quantity=written(mass, "kg"),
                        aid_unit="kg",
                        **self._desk.quantity(amount, "hL"),
                    )
                    self._desk.book.post(aid_lot, place, TRANSFORMED, mass)
            self._desk.book.post(lot, charge.vessel, TRANSFORMED, amount + loss)
            self._desk.book.make(contents, charge.beer.name, "released")
            self._desk.book.post(contents, TRANSFORMED, target, amount)

    def _blend(self, kind: str, source: str, target: str, amount: int, loss: int) -> None:
        lot = self._contents(source)
        record = self._desk.record("transfers", "brewing")
        self._desk.book.post(lot, source, TRANSFORMED, amount)
        self._desk.book.post(lot, source, LOSS, loss)
        record.row(
            kind=kind,
            from_vessel=source,
            to_vessel=target,
            loss=written(loss, "hL"),
            contents_lot=self._cellar.renew(target, self._desk.book.volume(target) + amount),
            **self._desk.quantity(amount, "hL"),
        )

    def _finish(self, tank: str, charge: Charge) -> None:
        if charge.beer.fined:
            self._desk.diary.after(50, partial(self._fine, tank))
        held = self._rackings == HELD_RACKING
        if held:
            self._desk.diary.after(90, partial(self._hold, tank))
        self._packaging.plan(tank, charge.beer, 3 if held else 1)

    def _fine(self, tank: str) -> None:
        volume = self._desk.book.volume(tank)
        amount = rounded(volume / HL * 30, 100)
        parts = self._store.pick("Silica sol finings", amount, ("DRY",))
        record = self._desk.record("additions", "brewing")
        contents = self._cellar.renew(tank, volume + amount)
        for lot, place, share in parts:
            record.row(
                vessel=tank,
                contents_lot=contents,
                lot=lot,
                location=place,
                volume_after=written(volume + amount, "hL"),
                volume_unit="hL",
                **self._desk.quantity(share, "L"),
            )
            self._desk.book.post(lot, place, TRANSFORMED, share)

    def _hold(self, tank: str) -> None:
        lot = self._contents(tank)
        self._quality.decide(lot, "on_hold", "Oxygen at the tank inlet above the limit: measure again")
        task = partial(self._quality.decide, lot, "released", "Second measurement within the limit")
        self._desk.diary.after(24 * 60 + 120, task)

    def _contents(self, vessel: str) -> str:
        held = self._desk.book.contents(vessel)
        if held is None:
            raise LookupError(f"{vessel} is empty")
        return held.code
