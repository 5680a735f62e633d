"""The desk that every department writes at: chance, diary, papers and stock book."""

from dataclasses import dataclass, field

from .book import DIFFERENCE, Book
from .diary import Diary
from .dice import Dice
from .paper import Paper, Record
from .people import on_shift
from .quantities import written


@dataclass
class Desk:
    """What the departments share."""

    dice: Dice
    diary: Diary
    paper: Paper = field(default_factory=Paper)
    book: Book = field(init=False)
    _codes: dict[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.book = Book(lambda: self.diary.now)

    def record(self, file: str, role: str) -> Record:
        """A new record of this minute, by whoever of the role is on shift."""
        when = self.diary.minute()
        return self.paper.record(file, when, on_shift(role, when.isocalendar().week))

    def code(self, prefix: str, digits: int = 3) -> str:
        """The next code of a series, such as `MA-017`."""
        self._codes[prefix] = self._codes.get(prefix, 0) + 1
        return f"{prefix}-{self._codes[prefix]:0{digits}d}"

    @staticmethod
    def quantity(amount: int, unit: str) -> dict[str, str]:
        """The two cells of a quantity."""
        return {"quantity": written(amount, unit), "unit": unit}

    def move(self, lot: str, source: str, target: str, amount: int, unit: str) -> None:
        """The amount of the lot lies in another store."""
        record = self.record("moves", "receiving")
        record.row(lot=lot, from_location=source, to_location=target, **self.quantity(amount, unit))
        self.book.post(lot, source, target, amount)

    def count(self, lot: str, place: str, counted: int, unit: str, reason: str, role: str) -> None:
        """The book says of the lot there what was counted."""
        record = self.record("counts", role)
        record.row(location=place, lot=lot, counted=written(counted, unit), unit=unit, reason=reason)
        difference = counted - self.book.held(place, lot)
        if difference > 0:
            self.book.post(lot, DIFFERENCE, place, difference)
        elif difference < 0:
            self.book.post(lot, place, DIFFERENCE, -difference)
