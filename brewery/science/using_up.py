"""Using up: which lots planned brews take so that the least is lost, beside plain first expired, first out.

Each want is met exactly, out of stocks that are good on its day. What is taken counts by what it would still hold when
the plan is over: that is lost to the stock, and a lot that is past its date by then has nothing left to lose. So the
least loss is what leaves most in the stores at the end. Of plans that lose equally little the one with the fewest lots
is taken. A mixed-integer programme, solved by HiGHS (Huangfu and Hall 2018, Mathematical Programming Computation 10).
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_matrix

MOST_NODES = 5_000
"""After so many branches the best plan so far is taken: a limit of time would make answers depend on the machine."""

_NOTHING_KG = 1e-7
_ROOM = 1e-6
"""By which part a later aim may give up what an earlier one reached: what the solver calls equal."""


@dataclass(frozen=True, slots=True)
class Store:
    """A lot: how much is free in kg, what a kg of it still holds when the plan is over, and what a package holds."""

    key: str
    kg: float
    left: float
    package_kg: float | None = None


@dataclass(frozen=True, slots=True)
class Want:
    """What one brew wants, and what a kg of each store that it may take brings of that on its day."""

    key: str
    amount: float
    strengths: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Take:
    """What a want takes of a store: `kg` go into the brew; `out_kg` leave the stock, whole packages where asked."""

    want: str
    store: str
    kg: float
    out_kg: float


@dataclass(frozen=True)
class Plan:
    """Who takes what, what that loses to the stock, and by want what nothing is left for."""

    takes: Sequence[Take]
    lost: float
    short: Mapping[str, float] = field(default_factory=dict)

    @property
    def is_short(self) -> bool:
        """Whether a want is not met."""
        return bool(self.short)


@dataclass(frozen=True)
class Comparison:
    """The plan of least loss and that of first expired, first out; `is_proven` says that no better one exists."""

    best: Plan
    first_expired: Plan
    is_proven: bool

    @property
    def saved(self) -> float:
        """By how much less is lost; of plans that leave different wants unmet nothing can be said."""
        return self.first_expired.lost - self.best.lost


def first_expired(stores: Sequence[Store], wants: Sequence[Want], *, whole: bool = False) -> Plan:
    """Return who takes what if each want in turn takes of the stores in their order, the first to expire first."""
    left = {store.key: store.kg for store in stores}
    takes: list[Take] = []
    short: dict[str, float] = {}
    for want in wants:
        missing = want.amount
        for store in stores:
            strength = want.strengths.get(store.key, 0.0)
            if strength <= 0 or missing <= _NOTHING_KG * strength:
                continue
            package = store.package_kg if whole else None
            there = left[store.key] if package is None else math.floor(left[store.key] / package + _ROOM) * package
            kg = min(missing / strength, there)
            out = kg if package is None else math.ceil(kg / package - _ROOM) * package
            if kg > _NOTHING_KG:
                takes.append(Take(want.key, store.key, kg, out))
                left[store.key] -= out
                missing -= kg * strength
        if missing > max(_NOTHING_KG, want.amount * _ROOM):
            short[want.key] = missing
    return Plan(takes, _lost(takes, stores), short)


def least_loss(stores: Sequence[Store], wants: Sequence[Want], *, whole: bool = False) -> Comparison:
    """Return the plan that loses least, beside first expired, first out; it never loses more than that.

    Wants come in the order of their days, stores in that of expiry. Where not all can be met, as much as can be is.
    """
    plain = first_expired(stores, wants, whole=whole)
    programme = _Programme(stores, wants, whole)
    if not programme.ways:
        return Comparison(plain, plain, True)
    short, is_first_proven = (0.0, True) if not plain.is_short else programme.least(programme.shortage())
    lost, is_proven = programme.least(programme.loss(), within=[(programme.shortage(), short)])
    programme.least(programme.lots(), within=[(programme.shortage(), short), (programme.loss(), lost)])
    best = programme.plan()
    if best is None or not _is_no_worse(best, plain):
        return Comparison(plain, plain, False)
    return Comparison(best, plain, is_first_proven and is_proven)


def _is_no_worse(best: Plan, plain: Plan) -> bool:
    if plain.is_short:
        return len(best.short) <= len(plain.short) or sum(best.short.values()) <= sum(plain.short.values()) + _ROOM
    return not best.is_short and best.lost <= plain.lost * (1 + 2 * _ROOM) + _ROOM


def _lost(takes: Sequence[Take], stores: Sequence[Store]) -> float:
    left = {store.key: store.left for store in stores}
    return math.fsum(take.out_kg * left[take.store] for take in takes)


class _Programme:
    """The programme: for each way from a store to a want the kg, the packages, and whether it is used at all.

    Behind those comes for each want the part of it that nothing is left for.
    """

    def __init__(self, stores: Sequence[Store], wants: Sequence[Want], whole: bool) -> None:
        self.stores, self.wants = stores, wants
        self.ways = [
            (place, want, wanted.strengths[store.key])
            for want, wanted in enumerate(wants)
            for place, store in enumerate(stores)
            if wanted.strengths.get(store.key, 0.0) > 0 and store.kg > _NOTHING_KG and wanted.amount > 0
        ]
        self.packages = [stores[place].package_kg if whole else None for place, _, _ in self.ways]
        self.count = len(self.ways)
        self.found: np.ndarray | None = None

    def loss(self) -> np.ndarray:
        """What is lost: by kg, or by packages where those are whole."""
        cost = self._nothing()
        for at, (place, _, _) in enumerate(self.ways):
            package = self.packages[at]
            cost[at if package is None else self.count + at] = self.stores[place].left * (package or 1.0)
        return cost

    def lots(self) -> np.ndarray:
        """How many ways are used."""
        cost = self._nothing()
        cost[2 * self.count : 3 * self.count] = 1
        return cost

    def shortage(self) -> np.ndarray:
        """Which part of the wants is not met."""
        cost = self._nothing()
        cost[3 * self.count :] = 1
        return cost

    def _nothing(self) -> np.ndarray:
        return np.zeros(3 * self.count + len(self.wants))

    def least(self, cost: np.ndarray, within: Sequence[tuple[np.ndarray, float]] = ()) -> tuple[float, bool]:
        """Find the plan with the least of what is asked, and keep it; return how much that is, and if it is proven.

        `within` are aims that were reached before, and what they came to.
        """
        kept = [LinearConstraint(aim[np.newaxis, :], -np.inf, got + _ROOM * max(1.0, abs(got))) for aim, got in within]
        solved = milp(
            cost,
            integrality=self._integrality(),
            bounds=self._bounds(),
            constraints=[*self._constraints(), *kept],
            options={"node_limit": MOST_NODES, "mip_rel_gap": _ROOM / 10},
        )
        if solved.x is None:
            return (0.0 if self.found is None else float(cost @ self.found)), False
        self.found = solved.x
        return float(cost @ solved.x), solved.status == 0

    def _integrality(self) -> np.ndarray:
        kinds = self._nothing()
        kinds[self.count : 3 * self.count] = 1
        return kinds

    def _bounds(self) -> Bounds:
        most = np.ones(3 * self.count + len(self.wants))
        for at, (place, _, _) in enumerate(self.ways):
            most[at] = self._most(at)
            package = self.packages[at]
            most[self.count + at] = 0 if package is None else math.floor(self.stores[place].kg / package + _ROOM)
        return Bounds(np.zeros(len(most)), most)

    def _most(self, at: int) -> float:
        """The most kg that one way can be of use for."""
        place, want, strength = self.ways[at]
        return min(self.stores[place].kg, self.wants[want].amount / strength)

    def _constraints(self) -> Iterator[LinearConstraint]:
        yield self._rows(len(self.wants), self._met(), [want.amount for want in self.wants], is_exact=True)
        yield self._rows(len(self.stores), self._out(), [store.kg * (1 + _ROOM / 10) for store in self.stores])
        whole = [at for at in range(self.count) if self.packages[at] is not None]
        yield self._rows(len(whole), self._inside(whole), [0.0] * len(whole))
        yield self._rows(self.count, self._used(), [0.0] * self.count)

    def _met(self) -> Iterator[tuple[int, int, float]]:
        for at, (_, want, strength) in enumerate(self.ways):
            yield want, at, strength
        for want, wanted in enumerate(self.wants):
            yield want, 3 * self.count + want, wanted.amount

    def _out(self) -> Iterator[tuple[int, int, float]]:
        for at, (place, _, _) in enumerate(self.ways):
            package = self.packages[at]
            yield (place, at, 1.0) if package is None else (place, self.count + at, package)

    def _inside(self, whole: Sequence[int]) -> Iterator[tuple[int, int, float]]:
        """What is dosed comes out of packages that were taken."""
        for row, at in enumerate(whole):
            yield row, at, 1.0
            yield row, self.count + at, -(self.packages[at] or 0.0)

    def _used(self) -> Iterator[tuple[int, int, float]]:
        for at in range(self.count):
            yield at, at, 1.0
            yield at, 2 * self.count + at, -self._most(at)

    def _rows(
        self, rows: int, cells: Iterator[tuple[int, int, float]], most: Sequence[float], *, is_exact: bool = False
    ) -> LinearConstraint:
        found = list(cells)
        at = ([cell[0] for cell in found], [cell[1] for cell in found])
        matrix = csr_matrix(([cell[2] for cell in found], at), shape=(rows, 3 * self.count + len(self.wants)))
        return LinearConstraint(matrix, np.array(most) if is_exact else np.full(rows, -np.inf), np.array(most))

    def plan(self) -> Plan | None:
        """Return the plan found last, or None where none was."""
        if self.found is None:
            return None
        found = self.found
        takes = [take for at in range(self.count) if (take := self._take(at, float(found[at]))).kg > _NOTHING_KG]
        parts = found[3 * self.count :]
        short = {
            want.key: want.amount * float(part)
            for want, part in zip(self.wants, parts, strict=True)
            if part > 2 * _ROOM
        }
        return Plan(takes, _lost(takes, self.stores), short)

    def _take(self, at: int, kg: float) -> Take:
        place, want, _ = self.ways[at]
        package = self.packages[at]
        out = kg if package is None else math.ceil(kg / package - _ROOM) * package
        return Take(self.wants[want].key, self.stores[place].key, kg, out)
