"""The brewhouse: a brew is started, drawn for, and knocked out within a day."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import partial

from .beers import BREW_LENGTH, Beer
from .book import LOSS, TRANSFORMED, Lot
from .cellar import Cellar
from .charges import Charge
from .desk import Desk
from .materials import MATERIALS, code_of
from .quantities import HL, KG, L, rounded
from .store import Part, Store

FROM = {
    "Pilsner malt": ("MALT", "SILO1"),
    "Pale ale malt": ("MALT", "SILO2"),
    "Brewing liquor": ("LIQUOR",),
}
PLACE_OF_KIND = {"malt": "MALT", "adjunct": "MALT", "hop": "HOPS", "salt": "DRY", "fining": "DRY"}
HOP_BOX = 5 * KG
FIRST_BREW_WITH_OVERRIDE = 25
BREW_WITH_WRONG_BOX = 31


@dataclass(eq=False)
class Brew:
    """One brew and the tanks its wort is meant for."""

    beer: Beer
    fills: Sequence[tuple[Charge, float]]
    code: str = ""
    number: int = 0
    surplus: list[Part] = field(default_factory=list)


class Brewhouse:
    """Brews."""

    def __init__(self, desk: Desk, store: Store, cellar: Cellar) -> None:
        self._desk = desk
        self._store = store
        self._cellar = cellar
        self._overridden = False

    def schedule(self, day: date, beer: Beer, fills: Sequence[tuple[Charge, float]]) -> None:
        """The beer is brewed on that day, into these charges' tanks."""
        brew = Brew(beer, fills)
        steps = {
            "06:00": self._start,
            "06:10": self._draw_grist,
            "06:50": self._draw_mash_liquor,
            "09:30": self._draw_sparge_liquor,
            "10:40": self._draw_first_hops,
            "11:50": self._draw_late_hops,
            "12:40": self._give_back,
            "13:50": self._knock_out,
        }
        for clock, step in steps.items():
            self._desk.diary.at(day, clock, partial(step, brew))

    def leave_under_way(self, day: date, beer: Beer) -> None:
        """The beer is mashed in on that day, and the season ends before knock-out."""
        brew = Brew(beer, [])
        for clock, step in {"10:00": self._start, "10:15": self._draw_grist, "10:50": self._draw_mash_liquor}.items():
            self._desk.diary.at(day, clock, partial(step, brew))

    def _start(self, brew: Brew) -> None:
        brew.code = self._desk.code("BR")
        brew.number = int(brew.code[3:])
        self._desk.record("brews", "brewing").row(brew=brew.code, beer=code_of(brew.beer.name))

    def _draw_grist(self, brew: Brew) -> None:
        parts: list[Part] = []
        for material, mass in brew.beer.grist.items():
            amount = rounded(mass * self._desk.dice.between(990, 1010) / 1000, KG)
            unreleased = self._unreleased(material, amount)
            if unreleased and not self._overridden and brew.number >= FIRST_BREW_WITH_OVERRIDE and amount < 100 * KG:
                self._overridden = True
                reason = "Certificate seen by e-mail and in order, the paper comes with the next lorry"
                self._store.draw(brew.code, [(unreleased.code, "MALT", amount)], "quality", reason)
            else:
                parts += self._pick(material, amount)
        self._store.draw(brew.code, parts, "brewing")

    def _unreleased(self, material: str, amount: int) -> Lot | None:
        held = self._desk.book.at("MALT")
        lots = [lot for lot, there in held if lot.material == material and there >= amount]
        return next((lot for lot in lots if lot.disposition == "quarantined"), None)

    def _draw_mash_liquor(self, brew: Brew) -> None:
        salts = {"Calcium chloride dihydrate": 2 * KG, "Gypsum, calcium sulphate dihydrate": brew.beer.gypsum}
        parts = self._pick("Brewing liquor", (46 * 10 + self._desk.dice.between(-8, 8)) * HL // 10)
        for material, mass in salts.items():
            if mass:
                parts += self._pick(material, mass)
        self._store.draw(brew.code, parts, "brewing")

    def _draw_sparge_liquor(self, brew: Brew) -> None:
        amount = (39 * 10 + self._desk.dice.between(-8, 8)) * HL // 10
        self._store.draw(brew.code, self._pick("Brewing liquor", amount), "brewing")

    def _draw_first_hops(self, brew: Brew) -> None:
        if brew.number == BREW_WITH_WRONG_BOX:
            self._draw_wrong_box(brew)
            self._desk.diary.after(35, partial(self._draw_hops, brew, brew.beer.bittering))
        else:
            self._draw_hops(brew, brew.beer.bittering)

    def _draw_late_hops(self, brew: Brew) -> None:
        finings = self._pick("Carrageenan kettle finings", 170)
        self._draw_hops(brew, brew.beer.late, finings)

    def _draw_hops(self, brew: Brew, hops: Mapping[str, int], beside: Sequence[Part] = ()) -> None:
        """Most hops are weighed to the gram; now and then whole boxes go up, and the rest comes back."""
        parts: list[Part] = []
        for material, mass in hops.items():
            boxes = -(-mass // HOP_BOX) * HOP_BOX
            if boxes > mass and self._desk.dice.chance(0.2) and self._released("HOPS", material) >= boxes:
                picked = self._pick(material, boxes)
                lot, place, amount = picked[-1]
                brew.surplus.append((lot, place, min(boxes - mass, amount)))
            else:
                picked = self._pick(material, mass)
            parts += picked
        self._store.draw(brew.code, [*parts, *beside], "brewing")

    def _draw_wrong_box(self, brew: Brew) -> None:
        """A box of another hop is scanned; the mistake is found at the kettle, before anything went in."""
        material, mass = next(iter(brew.beer.bittering.items()))
        wrong = next(
            lot
            for lot, held in self._desk.book.at("HOPS")
            if lot.material != material and lot.disposition == "released" and held >= mass
        )
        number = self._store.draw(brew.code, [(wrong.code, "HOPS", mass)], "brewing")
        self._desk.diary.after(20, partial(self._reverse_wrong_box, brew, (wrong.code, "HOPS", mass), number))

    def _reverse_wrong_box(self, brew: Brew, part: Part, number: str) -> None:
        self._store.reverse("draws", number, f"Wrong box scanned: lot {part[0]} was never opened", "quality")
        lot, place, amount = part
        self._desk.book.post(lot, brew.code, place, amount)

    def _give_back(self, brew: Brew) -> None:
        if brew.surplus:
            self._store.give_back(brew.code, brew.surplus, "Rest of opened boxes, closed and weighed")

    def _knock_out(self, brew: Brew) -> None:
        book = self._desk.book
        for lot, amount in book.at(brew.code):
            book.post(lot.code, brew.code, TRANSFORMED, amount)
        wort = f"WO-{brew.number:03d}"
        book.make(wort, brew.beer.wort, "released")
        record = self._desk.record("knock_outs", "brewing")
        cells = {"brew": brew.code, "wort_material": code_of(brew.beer.wort), "wort_lot": wort}
        for charge, amount in self._volumes(brew):
            contents = self._cellar.take_wort(charge, wort, amount)
            record.row(**cells, vessel=charge.vessel, contents_lot=contents, **self._desk.quantity(amount, "hL"))
        loss = self._desk.dice.between(50, 100) * L
        record.row(**cells, vessel=LOSS, **self._desk.quantity(loss, "hL"))
        book.post(wort, TRANSFORMED, LOSS, loss)

    def _volumes(self, brew: Brew) -> list[tuple[Charge, int]]:
        whole = BREW_LENGTH + self._desk.dice.between(-5, 5) * 10 * L
        shares = [rounded(whole * share, 10 * L) for _, share in brew.fills]
        shares[-1] = whole - sum(shares[:-1])
        return [(charge, share) for (charge, _), share in zip(brew.fills, shares, strict=True)]

    def _pick(self, material: str, amount: int) -> list[Part]:
        places = FROM.get(material) or (PLACE_OF_KIND[MATERIALS[material].kind],)
        return self._store.pick(material, amount, places)

    def _released(self, place: str, material: str) -> int:
        held = self._desk.book.at(place)
        return sum(amount for lot, amount in held if lot.material == material and lot.disposition == "released")
