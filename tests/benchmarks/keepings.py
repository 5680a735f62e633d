"""When 100,000 hop lots go weak: the moments that are kept, worked out all at once, and lot by lot.

The lots lie in 40 places with two years of readings, have moved up to three times and have one assay or two. Who reads
what is kept, who works out all at once and who goes lot by lot must name the same lots.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from random import Random
from time import perf_counter
from typing import Any
from uuid import uuid4

from django.db import connection, transaction

from brewery.kernel.clock import now
from brewery.kernel.models import Request, User
from inventory.models import (
    Balance,
    Certificate,
    CertificateValue,
    Event,
    Keeping,
    Location,
    Lot,
    Material,
    Party,
    Posting,
    Warmth,
)
from inventory.queries.hop_alpha import alphas_of
from inventory.queries.hop_facts import facts_of, hop_lot
from inventory.services.keeping_rules import ALPHA, LEAST_PART
from inventory.services.keepings import crossings_of, work_out_all
from tests.benchmarks.answers import Disagreement
from tests.benchmarks.databases import History, exists, finish, make_empty, using
from tests.benchmarks.loading import rules_off

LOTS, PLACES, READINGS = 100_000, 40, 200
ROUNDS, SAMPLED, AT_ONCE = 5, 4_000, 5_000
START = datetime(2024, 1, 1, tzinfo=UTC)
DAYS = 700
HOPS = ("Saaz", "Cascade", "Fuggle", "Hallertauer Magnum", "Perle")


class Kept(History):
    """The lots and the database that holds them."""

    @property
    def name(self) -> str:
        """Its name, part of the database's."""
        return f"{self.links}_lots_kept"


def run(database: str, lots: int = LOTS) -> list[tuple[str, str, str, str]]:
    """Make the lots where they are missing, measure, and return the lines of the table."""
    history = Kept(database, lots)
    if not exists(history):
        make_empty(history)
        with using(history):
            _load(lots)
            work_out_all()
        finish(history)
    with using(history):
        return list(_lines(lots))


def _lines(lots: int) -> Iterator[tuple[str, str, str, str]]:
    moment = now()
    keys = sorted(Lot.objects.values_list("pk", flat=True))
    (read, stored), (at_once, worked_out) = _shortest(lambda: _stored(moment), lambda: _all_at_once(keys, moment))
    if stored != worked_out:
        raise Disagreement("What is kept is not what is worked out anew.")
    sample = Random(7).sample(keys, min(SAMPLED, lots))
    start = perf_counter()
    weak = _one_by_one(sample, moment)
    each = (perf_counter() - start) / len(sample)
    if weak != {part for part in worked_out if part[0] in set(sample)}:
        raise Disagreement("Lot by lot there are others.")
    words = f"{len(stored):,} of {lots:,} lots; {1e3 * read:.1f} ms / {at_once:.2f} s"
    yield "weak hops read / worked out all at once", f"1/{at_once / read:,.0f}", "<= 1/50", words
    words = f"{each * lots:.1f} s, from {len(sample):,} lots / {at_once:.2f} s"
    yield "worked out lot by lot / all at once", f"{each * lots / at_once:.1f}", ">= 5", words


Parts = set[tuple[int, int]]


def _stored(moment: datetime) -> Parts:
    return set(Keeping.objects.filter(rule=ALPHA, crosses_at__lte=moment).order_by().values_list("lot", "location"))


def _all_at_once(keys: list[int], moment: datetime) -> Parts:
    found: Parts = set()
    for at in range(0, len(keys), AT_ONCE):
        for (lot, place, _), (crosses_at, _) in crossings_of(keys[at : at + AT_ONCE]).items():
            if crosses_at and crosses_at <= moment:
                found.add((lot, place))
    return found


def _one_by_one(keys: list[int], moment: datetime) -> Parts:
    """Each lot's history walked through by itself, with what is on record read for many at once."""
    rows = Balance.objects.filter(lot__in=keys, quantity_micro__gt=0, location__kind=Location.Kind.STORE)
    parts = [(row.lot, row.location) for row in rows.select_related("lot__material", "location")]
    facts = facts_of(hop_lot(lot) for lot, _ in parts)
    alphas = alphas_of((lot, place, moment) for lot, place in parts)
    return {
        (lot.pk, place.pk)
        for (lot, place), alpha in zip(parts, alphas, strict=True)
        if alpha and alpha.alpha_pct < LEAST_PART * facts[lot.pk].observations[0].alpha_pct
    }


def _shortest(*ways: Callable[[], Parts]) -> list[tuple[float, Parts]]:
    """Take each way in turn, several times, and return its shortest time and its answer."""
    times: list[list[float]] = [[] for _ in ways]
    answers: list[Parts] = [set() for _ in ways]
    for _ in range(ROUNDS):
        for at, way in enumerate(ways):
            start = perf_counter()
            answers[at] = way()
            times[at].append(perf_counter() - start)
    return [(min(spent), answer) for spent, answer in zip(times, answers, strict=True)]


@dataclass
class _Store:
    """What is written: rows of the ledger by their keys, which count up from 1."""

    random: Random
    request: Request
    actor: User
    supplier: Location
    places: list[Location]
    hops: list[Material]

    def one(self, key: int) -> Iterator[Any]:
        """Yield the rows of one lot: it came, moved up to three times, and was assayed."""
        came = START + timedelta(minutes=self.random.randrange(DAYS * 1440))
        yield self._event(key * 4, Event.Kind.RECEIVE, came)
        hop = self.random.choice(self.hops)
        yield Lot(
            pk=key,
            code=f"H{key}",
            material=hop,
            made_by_id=key * 4,
            made_at=came,
            made_micro=20_000_000,
            disposition="released",
        )
        place, place_before, moment = self.random.choice(self.places), self.supplier, came
        yield self._posting(key, key * 4, place_before, place)
        for step in range(1, 1 + self.random.choice((0, 0, 1, 3))):
            moment += timedelta(days=self.random.uniform(1, 60))
            place_before, place = place, self.random.choice([one for one in self.places if one is not place])
            yield self._event(key * 4 + step, Event.Kind.MOVE, moment)
            yield self._posting(key, key * 4 + step, place_before, place)
        yield Balance(
            lot_id=key, location=place, quantity_micro=20_000_000, holds_one_lot=False, may_go_below_zero=False
        )
        yield from self._assays(key, came.date())

    def _event(self, key: int, kind: str, moment: datetime) -> Event:
        return Event(pk=key, kind=kind, happened_at=moment, recorded_at=moment, actor=self.actor, request=self.request)

    def _posting(self, lot: int, event: int, origin: Location, target: Location) -> Posting:
        return Posting(lot_id=lot, event_id=event, from_location=origin, to_location=target, quantity_micro=20_000_000)

    def _assays(self, lot: int, day: date) -> Iterator[Any]:
        alpha = self.random.uniform(3, 14)
        for number in range(1 + (self.random.random() < 0.2)):
            on = day + timedelta(days=number * 45)
            key = lot * 2 + number
            yield Certificate(
                pk=key,
                lot_id=lot,
                issued_on=on,
                recorded_at=datetime(on.year, on.month, on.day, 12, tzinfo=UTC),
                actor=self.actor,
                request=self.request,
            )
            value = round(alpha * self.random.uniform(0.88, 0.97) ** number * 1_000_000)
            yield CertificateValue(certificate_id=key, property="alpha", value_micro=value, method="EBC 7.7")


def people_and_party() -> tuple[User, Request, Location]:
    """Write and return whoever records, under which request, and from whom it comes."""
    actor = User.objects.create_user("benchmark", is_superuser=True)
    request = Request.objects.create(id=uuid4(), action="benchmark", actor=actor, content={}, recorded_at=START)
    party = Party.objects.create(code="YARD", name="Hop yard", role=Party.Role.SUPPLIER)
    supplier = Location.objects.get_or_create(
        party=party, kind="supplier", defaults={"code": "S1", "name": "Hop yard", "may_go_below_zero": True}
    )[0]
    return actor, request, supplier


def _load(lots: int) -> None:
    random = Random(5)
    actor, request, supplier = people_and_party()
    places = [
        Location.objects.create(code=f"P{at}", name=f"Store {at}", kind="store", nominal_milli_c=8000)
        for at in range(PLACES)
    ]
    hops = [
        Material.objects.create(code=f"M{at}", name=name, kind="hop", base_unit="kg") for at, name in enumerate(HOPS)
    ]
    store = _Store(random, request, actor, supplier, places, hops)
    with rules_off():
        Warmth.objects.bulk_create(_warmths(store), batch_size=2000)
        for first in range(1, lots + 1, AT_ONCE):
            _insert(row for key in range(first, min(first + AT_ONCE, lots + 1)) for row in store.one(key))


def _warmths(store: _Store) -> Iterator[Warmth]:
    for place in store.places:
        mean = store.random.uniform(-2, 16)
        for number in range(READINGS):
            since = START + timedelta(days=number * DAYS / READINGS)
            yield Warmth(
                location=place,
                since=since,
                milli_c=round((mean + store.random.uniform(-2, 2)) * 1000),
                recorded_at=since,
                actor=store.actor,
                request=store.request,
            )


def _insert(rows: Iterable[Any]) -> None:
    by_model: dict[type[Any], list[Any]] = {
        model: [] for model in (Event, Lot, Posting, Balance, Certificate, CertificateValue)
    }
    for row in rows:
        by_model[type(row)].append(row)
    with transaction.atomic():
        for model, found in by_model.items():
            model.objects.bulk_create(found, batch_size=2000 if connection.vendor == "postgresql" else 500)
