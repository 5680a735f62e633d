"""A month's usage out of ten million postings: by the day flows, and by grouping the postings themselves.

Five years of 80 materials, made by the database itself; the flows are then summed from the postings, which is what the
trigger would have kept, and both ways must tell the same to the last micro-unit.
"""

from collections.abc import Callable, Iterator
from datetime import date, timedelta
from time import perf_counter
from typing import Any

from django.db import connection, transaction

from inventory.models import Location, Material
from inventory.queries.turnover import FLOWS, way_of
from inventory.queries.usage import Period, usage_of
from inventory.services.day_flows import make_anew
from tests.benchmarks.answers import Disagreement
from tests.benchmarks.databases import History, exists, finish, make_empty, using
from tests.benchmarks.keepings import people_and_party
from tests.benchmarks.loading import rules_off

POSTINGS, MATERIALS, LOTS = 10_000_000, 80, 50_000
POSTINGS_AN_EVENT = 4
MONTH = Period(date(2025, 6, 1), date(2025, 6, 30))

_EVENTS = """
    INSERT INTO inventory_event
           (id, kind, happened_at, recorded_at, actor_id, request_id, reference, reason, override_reason)
    SELECT n, (ARRAY['receive', 'draw', 'move', 'filter', 'package', 'sample'])[1 + n %% 6],
           moment, moment, %(actor)s, %(request)s, '', '', ''
      FROM (SELECT n, TIMESTAMPTZ '2021-01-01' + (n * 1825.0 / %(events)s) * INTERVAL '1 day' AS moment
              FROM generate_series(1::bigint, %(events)s) n) told
"""
_LOTS = """
    INSERT INTO inventory_lot
           (id, code, material_id, made_by_id, made_at, made_micro, counted_micro, disposition, supplier_lot)
    SELECT n, 'L' || n, (SELECT MIN(id) FROM inventory_material) + n %% %(materials)s, 1, TIMESTAMPTZ '2021-01-01',
           1000000000000, 0, 'released', ''
      FROM generate_series(1::bigint, %(lots)s) n
"""
_POSTINGS = """
    INSERT INTO inventory_posting (id, event_id, lot_id, from_location_id, to_location_id, quantity_micro)
    SELECT n, event, 1 + (n * 7919) %% %(lots)s,
           CASE event %% 6 WHEN 0 THEN supplier WHEN 4 THEN made ELSE stores[1 + n %% 8] END,
           CASE event %% 6 WHEN 1 THEN brew WHEN 2 THEN stores[1 + (n + 3) %% 8] WHEN 3 THEN loss WHEN 5 THEN laboratory
                           ELSE stores[1 + n %% 8] END,
           1000 + (n * 104729) %% 5000000000
      FROM (SELECT n, 1 + (n - 1) / %(each)s AS event FROM generate_series(1::bigint, %(postings)s) n) told,
           (SELECT %(stores)s::bigint[] AS stores, %(supplier)s::bigint AS supplier, %(made)s::bigint AS made,
                   %(brew)s::bigint AS brew, %(loss)s::bigint AS loss, %(laboratory)s::bigint AS laboratory) places
"""
_GROUPED = """
    SELECT lot.material_id, event.kind, origin.kind, target.kind,
           CAST(SUM(posting.quantity_micro) FILTER (WHERE event.happened_at < %(since)s) AS bigint),
           CAST(SUM(posting.quantity_micro) FILTER (WHERE event.happened_at >= %(since)s) AS bigint)
      FROM inventory_posting posting
      JOIN inventory_event event ON event.id = posting.event_id
      JOIN inventory_lot lot ON lot.id = posting.lot_id
      JOIN inventory_location origin ON origin.id = posting.from_location_id
      JOIN inventory_location target ON target.id = posting.to_location_id
     WHERE event.happened_at < %(until)s
     GROUP BY lot.material_id, event.kind, origin.kind, target.kind
"""

Told = dict[int, tuple[int, dict[str, int]]]
"""By material what was there before the month, and what came and went in it by way."""


class Posted(History):
    """The postings and the database that holds them."""

    @property
    def name(self) -> str:
        """Its name, part of the database's."""
        return f"{self.links}_postings"


def run(database: str, postings: int = POSTINGS) -> list[tuple[str, str, str, str]]:
    """Make the postings where they are missing, measure, and return the lines of the table."""
    history = Posted(database, postings)
    if not exists(history):
        make_empty(history)
        with using(history):
            load(postings)
        finish(history)
    with using(history):
        return list(_lines(postings))


def _lines(postings: int) -> Iterator[tuple[str, str, str, str]]:
    (read, told), (grouped, counted) = _shortest(_by_flows, 5), _shortest(_by_postings, 2)
    if told != counted:
        raise Disagreement("The flows tell another month than the postings.")
    words = f"{len(told)} materials of {postings:,} postings; {1e3 * read:.0f} ms / {grouped:.1f} s"
    yield "a month's usage by day flows / by grouping postings", f"1/{grouped / read:,.0f}", "<= 1/100", words


def _shortest(way: Callable[[], Told], rounds: int) -> tuple[float, Told]:
    times, answer = [], Told()
    for _ in range(rounds):
        start = perf_counter()
        answer = way()
        times.append(perf_counter() - start)
    return min(times), answer


def _by_flows() -> Told:
    return {one.material.pk: (one.opening_micro, one.flows) for one in usage_of(MONTH)}


def _by_postings() -> Told:
    with connection.cursor() as cursor:
        cursor.execute(_GROUPED, {"since": _berlin(MONTH.first), "until": _berlin(MONTH.last, 1)})
        rows = cursor.fetchall()
    opening: dict[int, int] = {}
    flows: dict[int, dict[str, int]] = {}
    for material, kind, source, target, before, within in rows:
        name, sign = way_of(kind, source, target)
        if sign:
            opening[material] = opening.get(material, 0) + sign * (before or 0)
            flows.setdefault(material, dict.fromkeys(FLOWS, 0))[name] += sign * (within or 0)
    return {material: (opening[material], flows[material]) for material in flows}


def _berlin(day: date, days: int = 0) -> str:
    """The start of a day in summer, or of one so many days on, by the clock of Berlin."""
    return f"{day + timedelta(days)} 00:00:00+02"


def load(postings: int, **of_materials: Any) -> None:
    """Make so many postings of materials that are malt, or what is told of them."""
    actor, request, supplier = people_and_party()
    Material.objects.bulk_create(
        Material(code=f"M{number}", name=f"Material {number}", **{"kind": "malt", "base_unit": "kg", **of_materials})
        for number in range(MATERIALS)
    )
    stores = [Location.objects.create(code=f"P{at}", name=f"Place {at}", kind="store") for at in range(8)]
    boundary = dict(Location.objects.filter(kind__in=("loss", "transformed")).values_list("kind", "pk"))
    facts: dict[str, Any] = {
        "actor": actor.pk,
        "request": request.pk,
        "events": postings // POSTINGS_AN_EVENT,
        "each": POSTINGS_AN_EVENT,
        "materials": MATERIALS,
        "lots": LOTS,
        "stores": [one.pk for one in stores],
        "supplier": supplier.pk,
        "made": boundary["transformed"],
        "loss": boundary["loss"],
        "brew": Location.objects.create(code="B1", name="Brew", kind="process").pk,
        "laboratory": Location.objects.create(code="LAB", name="Laboratory", kind="laboratory").pk,
        "postings": postings,
    }
    with rules_off(), transaction.atomic(), connection.cursor() as cursor:
        for question in (_EVENTS, _LOTS, _POSTINGS):
            cursor.execute(question, facts)
        make_anew()
