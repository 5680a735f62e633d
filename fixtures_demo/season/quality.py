"""The quality office: what arrives in quarantine is sampled, and released, held or rejected."""

from datetime import date
from functools import partial

from .book import DESTROYED, Lot
from .days import workday_after
from .desk import Desk
from .quantities import EACH

REJECTED_DELIVERY = ("Wheat malt", 3)
HELD_DELIVERY = ("Centennial hop pellets", 2)
_SAMPLE_OF = {"malt": (500, "g"), "adjunct": (500, "g"), "hop": (100, "g")}
_PASSED = {
    "malt": "Certificate and hand assessment in order",
    "adjunct": "Certificate in order, no pests found",
    "hop": "Certificate in order, aroma sound, pack tight",
    "packaging": "Incoming inspection passed",
}


class Quality:
    """Decides on lots, takes samples, and has destroyed what nobody may use."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._arrivals: dict[str, int] = {}

    def decide(self, lot: str, decision: str, reason: str) -> None:
        """The lot may be used as the decision says."""
        record = self._desk.record("decisions", "quality")
        record.row(lot=lot, decision=decision, reason=reason)
        self._desk.book.lots[lot].disposition = decision

    def sample(self, lot: str, place: str, amount: int, unit: str, reason: str) -> None:
        """A sample of the lot lies in the laboratory."""
        from_text = self._desk.quantity(amount, unit)
        record = self._desk.record("samples", "quality")
        record.row(lot=lot, location=place, laboratory="LAB", reason=reason, **from_text)
        self._desk.book.post(lot, place, "LAB", amount)

    def destroy(self, lot: str, place: str, unit: str, reason: str, amount: int = 0) -> None:
        """The amount, or all that lies there, is destroyed."""
        amount = amount or self._desk.book.held(place, lot)
        record = self._desk.record("destructions", "quality")
        record.row(lot=lot, location=place, reason=reason, **self._desk.quantity(amount, unit))
        self._desk.book.post(lot, place, DESTROYED, amount)

    def arrived(self, lots: list[tuple[Lot, str, str]], kind: str) -> None:
        """Lots that came in quarantined will be sampled and decided on; each comes with its place and unit."""
        for lot, place, unit in lots:
            if kind in _SAMPLE_OF:
                amount, small = _SAMPLE_OF[kind]
                self._desk.diary.after(20, partial(self.sample, lot.code, place, amount, small, "Incoming inspection"))
            self._plan_decision(lot, place, unit, kind)

    def _plan_decision(self, lot: Lot, place: str, unit: str, kind: str) -> None:
        diary = self._desk.diary
        nth = self._arrivals[lot.material] = self._arrivals.get(lot.material, 0) + 1
        if place == "SILO2":
            diary.after(
                60, partial(self.decide, lot.code, "released", "Lorry sample passed before the silo was opened")
            )
            return
        day = workday_after(diary.today)
        if (lot.material, nth) == REJECTED_DELIVERY:
            diary.at(day, "10:40", partial(self._reject, lot, place, unit))
        elif (lot.material, nth) == HELD_DELIVERY:
            diary.at(day, "10:40", partial(self._hold_delivery, lot, place, unit))
        else:
            clock = f"{self._desk.dice.between(9, 11):02d}:{self._desk.dice.between(0, 59):02d}"
            diary.at(day, clock, partial(self.decide, lot.code, "released", _PASSED[kind]))

    def _reject(self, lot: Lot, place: str, unit: str) -> None:
        self.decide(lot.code, "rejected", "Musty smell and 6.8 % moisture: not to be used")
        self._desk.move(lot.code, place, "CAGE", self._desk.book.held(place, lot.code), unit)
        day = workday_after(self._desk.diary.today, 4)
        reason = "Rejected lot, supplier waived its return: taken to composting"
        self._desk.diary.at(day, "13:10", partial(self.destroy, lot.code, "CAGE", unit, reason))

    def _hold_delivery(self, lot: Lot, place: str, unit: str) -> None:
        self.decide(lot.code, "on_hold", "Certificate names another harvest year than the boxes")
        self._desk.move(lot.code, place, "CAGE", self._desk.book.held(place, lot.code), unit)
        self._desk.diary.at(workday_after(self._desk.diary.today, 2), "09:30", partial(self._clear, lot, place, unit))

    def _clear(self, lot: Lot, place: str, unit: str) -> None:
        self.decide(lot.code, "released", "Supplier sent the right certificate, values in order")
        self._desk.move(lot.code, "CAGE", place, self._desk.book.held("CAGE", lot.code), unit)

    def hold_packaged(self, lot: str, place: str, *, passes: bool) -> None:
        """A packaged lot is held at once; after three workdays it is released, or rejected and destroyed."""
        self.decide(lot, "on_hold", "Forcing test shows a haze: wait for the plates")
        task = partial(self._settle, lot, place, passes=passes)
        self._desk.diary.at(workday_after(self._desk.diary.today, 3), "08:20", task)

    def _settle(self, lot: str, place: str, *, passes: bool) -> None:
        if passes:
            self.decide(lot, "released", "Plates clear after three days, haze was from chilling")
            return
        self.decide(lot, "rejected", "Lactic bacteria on the plates")
        self._desk.move(lot, place, "CAGE", self._desk.book.held(place, lot), "each")
        day = workday_after(self._desk.diary.today, 5)
        reason = "Rejected lot: emptied to drain under supervision"
        self._desk.diary.at(day, "14:20", partial(self.destroy, lot, "CAGE", "each", reason))

    def retain_case(self, lot: str, place: str) -> None:
        """One case of the lot is kept on a shelf of the laboratory until its best-before day, and thrown away then."""
        record = self._desk.record("retained_samples", "quality")
        day = date.fromisoformat(self._desk.book.lots[lot].best_before)
        shelf = f"{day:%Y-%m}"
        record.row(lot=lot, location=place, laboratory="LAB", shelf=shelf, count="1", keep_until=f"{day}")
        self._desk.book.post(lot, place, "LAB", EACH)
        self._desk.diary.at(workday_after(day), "15:10", partial(self._throw_away, lot, record.number))

    def _throw_away(self, lot: str, sample: str) -> None:
        self._desk.record("sample_disposals", "quality").row(retained_sample=sample)
        self._desk.book.post(lot, "LAB", DESTROYED, EACH)
