"""The pick list of a brew: what each line of its sheet still wants, and from which lots and places to take it.

First expired first out, what is kept for this brew before the rest (common practice, no source). Hops that are wanted
as alpha acids are weighed by what each lot holds of them now.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime

from brewery.kernel.clock import brewery_day
from brewery.production.models import Brew
from brewery.production.queries.drawn import Drawn, drawn_for
from brewery.production.queries.sheets import sheets_in_full
from brewery.production.queries.wanted import Wanted, wanted_by
from inventory.models import Location, Lot, Material
from inventory.queries.hop_alpha import AlphaToday, alphas_of
from inventory.queries.proposals import LeftOut, lots_in_stock, propose_from
from inventory.queries.reservations import kept_now
from inventory.queries.stock import LotStock, stock_of_lots

_PER_CENT = 100


@dataclass(frozen=True)
class Pick:
    """A quantity of a lot to take from a place, in micro-units; `alpha` where it is weighed by its alpha acids."""

    lot: Lot
    location: Location
    quantity_micro: int
    alpha: AlphaToday | None = None


@dataclass(frozen=True)
class PickLine:
    """One line of the sheet, what was drawn for it, and what to take for the rest.

    `wanted_micro` is the weight, for alpha acids that of the lots drawn and proposed. `missing_micro` is what no lot
    covers, as the line counts it: a weight, or alpha acids where `wanted` says so.
    """

    wanted: Wanted
    drawn: tuple[Drawn, ...]
    wanted_micro: int
    picks: tuple[Pick, ...]
    missing_micro: int
    left_out: tuple[LeftOut, ...] = ()

    @property
    def drawn_micro(self) -> int:
        """What was drawn for the line."""
        return sum(one.quantity_micro for one in self.drawn)

    @property
    def left_micro(self) -> int:
        """What is still to be drawn."""
        return max(0, self.wanted_micro - self.drawn_micro)

    @property
    def asked_micro(self) -> int:
        """What the line asks for, as it counts: weight, or alpha acids."""
        return _amount(self.wanted)

    @property
    def brought_micro(self) -> int:
        """What was drawn for the line, as it counts."""
        return sum(_brings(self.wanted, one.quantity_micro, one.alpha) for one in self.drawn)

    @property
    def why(self) -> list[str]:
        """Why alpha acids weigh what they do, lot by lot."""
        alphas = [alpha for alpha in (*(one.alpha for one in self.drawn), *(one.alpha for one in self.picks)) if alpha]
        return list(dict.fromkeys(f"lot {alpha.lot.code}: {alpha.why}" for alpha in alphas))


@dataclass
class _Shelf:
    """What may be taken of one material, and what was drawn of it; each line takes its part of both, in turn."""

    supply: list[Pick]
    drawn: list[Drawn]
    left_out: list[LeftOut] = field(default_factory=list)


def pick_list_of(brew: Brew, moment: datetime) -> list[PickLine]:
    """Return the pick list at the moment; empty where the brew is brewed by no sheet."""
    if brew.sheet_id is None or brew.cold_wort_micro is None:
        return []
    (sheet,) = sheets_in_full().filter(pk=brew.sheet_id)
    return pick_list(wanted_by(sheet, brew.cold_wort_micro), drawn_for(brew), brew.code, moment)


def pick_list(wanted: Sequence[Wanted], drawn: Iterable[Drawn], purpose: str, moment: datetime) -> list[PickLine]:
    """Return the lines with what was drawn and what to take; the same statements however many lines."""
    shelves = _shelves([line.material for line in wanted], drawn, purpose, moment)
    last = {line.material.pk: line.key for line in wanted}
    return [_line(line, shelves[line.material.pk], last[line.material.pk] == line.key) for line in wanted]


def drawn_lines(wanted: Sequence[Wanted], drawn: Iterable[Drawn]) -> list[PickLine]:
    """Return the lines with what was drawn for each alone, without asking the stock."""
    shelves = {line.material.pk: _Shelf([], []) for line in wanted}
    for one in drawn:
        if one.wanted.pk in shelves:
            shelves[one.wanted.pk].drawn.append(one)
    last = {line.material.pk: line.key for line in wanted}
    return [_line(line, shelves[line.material.pk], last[line.material.pk] == line.key) for line in wanted]


def _shelves(
    materials: Sequence[Material], drawn: Iterable[Drawn], purpose: str, moment: datetime
) -> dict[int, _Shelf]:
    today, use_on = brewery_day(), brewery_day(moment)
    stocks = _stocks(materials, purpose, today)
    shelves = {material.pk: _Shelf([], []) for material in materials}
    for material in {material.pk: material for material in materials}.values():
        here = stocks[material.pk]
        proposal = propose_from(material, sum(one.on_hand_micro for one in here), here, use_on=use_on)
        shelves[material.pk].supply = [Pick(line.lot, line.location, line.quantity_micro) for line in proposal.lines]
        shelves[material.pk].left_out = proposal.left_out
    _tell_alpha(shelves, moment)
    for one in drawn:
        if one.wanted.pk in shelves:
            shelves[one.wanted.pk].drawn.append(one)
    return shelves


def _stocks(materials: Sequence[Material], purpose: str, today: date) -> dict[int, list[LotStock]]:
    """Return the lots of each material; what is kept for the purpose is free for it, and comes first."""
    stocks = stock_of_lots(lots_in_stock(materials), today)
    own = {
        one.reservation.lot_id: one.kept_micro
        for one in kept_now(today, [stock.lot for stock in stocks])
        if one.reservation.purpose == purpose
    }
    found: dict[int, list[LotStock]] = defaultdict(list)
    for stock in sorted(stocks, key=lambda stock: stock.lot.pk not in own):
        freed = replace(stock, reserved_micro=stock.reserved_micro - own.get(stock.lot.pk, 0))
        found[stock.lot.material_id].append(freed)
    return found


def _tell_alpha(shelves: dict[int, _Shelf], moment: datetime) -> None:
    """Every pick of a hop knows what it holds of alpha acids."""
    hops = [pick for shelf in shelves.values() for pick in shelf.supply if pick.lot.material.kind == Material.Kind.HOP]
    alphas = alphas_of((pick.lot, pick.location, moment) for pick in hops)
    told = {(pick.lot.pk, pick.location.pk): alpha for pick, alpha in zip(hops, alphas, strict=True)}
    for shelf in shelves.values():
        shelf.supply = [replace(pick, alpha=told.get((pick.lot.pk, pick.location.pk))) for pick in shelf.supply]


def _line(wanted: Wanted, shelf: _Shelf, is_last: bool) -> PickLine:
    left = _amount(wanted)
    drawn, left = _drawn(wanted, shelf, left, is_last)
    picks, left = _picks(wanted, shelf, left)
    weight = sum(one.quantity_micro for one in picks) + sum(one.quantity_micro for one in drawn)
    if wanted.alpha_micro is None:
        weight = wanted.quantity_micro or 0
    return PickLine(wanted, tuple(drawn), weight, tuple(picks), left, tuple(shelf.left_out))


def _amount(wanted: Wanted) -> int:
    return wanted.alpha_micro if wanted.alpha_micro is not None else wanted.quantity_micro or 0


def _drawn(wanted: Wanted, shelf: _Shelf, left: int, is_last: bool) -> tuple[list[Drawn], int]:
    """Take from what was drawn what the line wants; the last line of a material takes all that remains."""
    taken: list[Drawn] = []
    while shelf.drawn and (left > 0 or is_last):
        one = shelf.drawn.pop(0)
        need = one.quantity_micro if is_last else _weight_for(wanted, left, one.alpha)
        part = min(one.quantity_micro, need)
        if part <= 0:
            shelf.drawn.insert(0, one)
            break
        taken.append(replace(one, quantity_micro=part))
        left = max(0, left - _brings(wanted, part, one.alpha))
        if part < one.quantity_micro:
            shelf.drawn.insert(0, replace(one, quantity_micro=one.quantity_micro - part))
    return taken, left


def _picks(wanted: Wanted, shelf: _Shelf, left: int) -> tuple[list[Pick], int]:
    """Take from what may be taken what the line still wants; lots without a known alpha serve only a weight."""
    taken: list[Pick] = []
    for place, pick in enumerate(shelf.supply):
        need = _weight_for(wanted, left, pick.alpha)
        part = min(pick.quantity_micro, need)
        if part <= 0:
            continue
        taken.append(replace(pick, quantity_micro=part))
        shelf.supply[place] = replace(pick, quantity_micro=pick.quantity_micro - part)
        left = 0 if part == need else left - _brings(wanted, part, pick.alpha)
    return taken, left


def _weight_for(wanted: Wanted, left: int, alpha: AlphaToday | None) -> int:
    """Return what a lot must weigh to bring what is left of the line; nothing where its alpha is not known."""
    if wanted.alpha_micro is None:
        return left
    return round(left * _PER_CENT / alpha.alpha_pct) if alpha and alpha.alpha_pct else 0


def _brings(wanted: Wanted, weight_micro: int, alpha: AlphaToday | None) -> int:
    """Return what a weight brings of what the line counts."""
    if wanted.alpha_micro is None:
        return weight_micro
    return round(weight_micro * alpha.alpha_pct / _PER_CENT) if alpha else 0
