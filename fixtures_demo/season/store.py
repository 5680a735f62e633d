"""The stores: deliveries come in, parts of released lots go out, first expired first."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from .book import SUPPLIER, BookError, Lot
from .desk import Desk
from .materials import MATERIALS, code_of
from .quality import Quality

Part = tuple[str, str, int]  # lot, place, amount


@dataclass(frozen=True)
class Line:
    """One lot of a delivery."""

    material: str
    code: str
    amount: int
    unit: str
    place: str
    supplier_lot: str
    keeps_days: int = 0
    generation: int = 0
    contents: str = ""


class Store:
    """Receives, hands out and takes back."""

    def __init__(self, desk: Desk, quality: Quality) -> None:
        self._desk = desk
        self._quality = quality
        self._notes: dict[str, int] = {}

    def receive(self, supplier: str, lines: Sequence[Line]) -> str:
        """Every line is a lot in its place; those that arrive in quarantine go to the quality office. The record's
        number is returned.
        """
        number = self.book_in(supplier, lines)
        for line in lines:
            material = MATERIALS[line.material]
            if material.arrives == "quarantined" and material.kind != "yeast":
                lot = self._desk.book.lots[line.code]
                self._quality.arrived([(lot, line.place, material.unit)], material.kind)
        return number

    def book_in(self, supplier: str, lines: Sequence[Line]) -> str:
        """The delivery is on record and in the book, and nothing else follows from it."""
        record = self._desk.record("deliveries", "receiving")
        note = self._next_note(supplier)
        for line in lines:
            best_before = self._best_before(line.keeps_days)
            record.row(
                supplier=supplier,
                note_number=note,
                material=code_of(line.material),
                lot=line.code,
                supplier_lot=line.supplier_lot,
                location=line.place,
                best_before=best_before,
                generation=str(line.generation or ""),
                contents_lot=line.contents,
                **self._desk.quantity(line.amount, line.unit),
            )
            arrives = MATERIALS[line.material].arrives
            book = self._desk.book
            book.make(line.code, line.material, arrives, best_before=best_before, generation=line.generation)
            if not line.contents:
                book.post(line.code, SUPPLIER, line.place, line.amount)
        return record.number

    def supplier_lot(self, supplier: str, material: str, day: date) -> str:
        """A code as that supplier prints it on its packs."""
        initials = "".join(word[0] for word in material.replace(",", "").split())[:3].upper()
        return f"{initials}{supplier[1:]}-{day:%y%j}-{self._desk.dice.between(100, 999)}"

    def pick(self, material: str, amount: int, places: Sequence[str]) -> list[Part]:
        """Released parts that make up the amount: by place, then first expired first. Raises BookError if short."""
        parts: list[Part] = []
        for lot, place, held in self._candidates(material, places):
            taken = min(held, amount)
            if taken:
                parts.append((lot.code, place, taken))
                amount -= taken
        if amount:
            raise BookError(f"{self._desk.diary.now}: {amount} of {material} short")
        return parts

    def _candidates(self, material: str, places: Sequence[str]) -> list[tuple[Lot, str, int]]:
        found = [
            (lot, place, held)
            for place in places
            for lot, held in self._desk.book.at(place)
            if lot.material == material and lot.disposition == "released"
        ]
        return sorted(found, key=lambda part: (places.index(part[1]), part[0].best_before, part[0].number))

    def draw(self, into: str, parts: Sequence[Part], role: str, override: str = "") -> str:
        """The parts lie in the brew or run. The record's number is returned."""
        record = self._desk.record("draws", role)
        for lot, place, amount in parts:
            unit = self._unit_of(lot)
            record.row(
                into=into, lot=lot, location=place, override_reason=override, **self._desk.quantity(amount, unit)
            )
            self._desk.book.post(lot, place, into, amount)
        return record.number

    def give_back(self, out_of: str, parts: Sequence[Part], reason: str) -> None:
        """The parts lie in stock again."""
        record = self._desk.record("returns_to_stock", "brewing")
        for lot, place, amount in parts:
            unit = self._unit_of(lot)
            record.row(out_of=out_of, lot=lot, location=place, reason=reason, **self._desk.quantity(amount, unit))
            self._desk.book.post(lot, out_of, place, amount)

    def reverse(self, file: str, number: str, reason: str, role: str) -> None:
        """A mistake is on record as one; the caller puts the book right."""
        record = self._desk.record("reversals", role)
        record.row(reverses_file=f"{file}.csv", reverses_record=number, reason=reason)

    def _unit_of(self, lot: str) -> str:
        material = MATERIALS[self._desk.book.lots[lot].material]
        if material.kind == "water":
            return "hL"
        return "g" if "Carrageenan" in material.name else material.unit

    def _next_note(self, supplier: str) -> str:
        self._notes[supplier] = self._notes.get(supplier, 4000 + 317 * int(supplier[1:])) + 1
        return f"{supplier[1:]}{self._notes[supplier]}"

    def _best_before(self, keeps_days: int) -> str:
        return f"{self._desk.diary.today + timedelta(days=keeps_days)}" if keeps_days else ""
