"""Full trace answers, and the two things they are measured against: the same links by their known ids, and networkx."""

import gc
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from statistics import median
from time import perf_counter
from typing import Any

import networkx
from django.db import connection

from brewery.kernel.database.sets import in_set
from inventory.models import Link
from traceability.queries.graph import Direction, question
from traceability.queries.trace import Trace, trace


class Disagreement(Exception):
    """Two ways to the same answer did not agree, so no figure is worth anything."""


@dataclass(frozen=True)
class Compared:
    """Per-query ratios of the full answer to something else, and what the full answer took."""

    seconds: list[float]
    links: list[int]
    to_known_ids: list[float]
    to_networkx: list[float]

    @property
    def microseconds_a_link(self) -> float:
        """The median over the queries."""
        return median(1e6 * spent / links for spent, links in zip(self.seconds, self.links, strict=True) if links)


ROUNDS = 9
"""How often each way is timed for each lot. The shortest counts: others on the machine left that one alone."""


def shortest(ways: Sequence[Callable[[], Any]]) -> tuple[list[float], list[Any]]:
    """Return the shortest time that each way took, taking turns round by round, and what each gave."""
    spent, given = [float("inf")] * len(ways), [None] * len(ways)
    for turn in range(ROUNDS):
        for shift in range(len(ways)):
            which = (turn + shift) % len(ways)
            start = perf_counter()
            given[which] = ways[which]()
            spent[which] = min(spent[which], perf_counter() - start)
    return spent, given


def graph_of_all_links() -> networkx.DiGraph:
    """Return every link that counts, as networkx keeps them, in memory that no later collection of garbage walks."""
    graph = networkx.DiGraph()
    graph.add_edges_from(Link.objects.filter(reversed_by=None).values_list("parent", "child").iterator(20_000))
    gc.collect()
    gc.freeze()
    return graph


def compare(lots: Sequence[int], direction: Direction, graph: networkx.DiGraph | None) -> Compared:
    """Trace every lot in full and by the other ways, which must come to the same."""
    compared = Compared([], [], [], [])
    for lot in lots:
        whole = trace(lot, direction)
        ways: list[Callable[[], Any]] = [
            lambda lot=lot: trace(lot, direction),
            lambda whole=whole: same_links(whole),
        ]
        if graph is not None:
            ways.append(lambda lot=lot: reached_by_networkx(graph, lot, direction))
        spent, given = shortest(ways)
        _refuse_disagreement(whole, given)
        compared.seconds.append(spent[0])
        compared.links.append(len(whole.steps))
        compared.to_known_ids.append(spent[0] / spent[1])
        if graph is not None:
            compared.to_networkx.append(spent[0] / spent[2])
    return compared


def same_links(whole: Trace) -> list[tuple[int, ...]]:
    """Read exactly the links of an answer whose lots are known already, in one statement."""
    near = "child_id" if whole.direction is Direction.BACK else "parent_id"
    known = {step.child if whole.direction is Direction.BACK else step.parent for step in whole.steps}
    condition, parameters = in_set(near, known)
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT parent_id, child_id, kind, quantity_micro FROM inventory_link "
            f"WHERE {condition} AND reversed_by_id IS NULL",
            parameters,
        )
        return list(cursor.fetchall())


def reached_by_networkx(graph: networkx.DiGraph, lot: int, direction: Direction) -> set[int]:
    """Return what networkx reaches from the lot."""
    if lot not in graph:
        return set()
    reach = networkx.ancestors if direction is Direction.BACK else networkx.descendants
    return set(reach(graph, lot))


def _refuse_disagreement(whole: Trace, given: Sequence[Any]) -> None:
    if sorted(whole.steps) != sorted(given[1]):
        raise Disagreement(f"The links of lot {whole.subject} {whole.direction} by their ids are others.")
    if len(given) > 2 and set(whole.reached) != given[2]:
        raise Disagreement(f"networkx reaches other lots from {whole.subject} {whole.direction}.")


def buffers_touched(lot: int, direction: Direction) -> int:
    """Return how many pages the whole question touches on PostgreSQL."""
    sql, parameters = question([lot], direction)
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN (ANALYZE, BUFFERS, FORMAT JSON) {sql}", parameters)
        plan = cursor.fetchone()[0][0]["Plan"]
    return int(plan["Shared Hit Blocks"] + plan["Shared Read Blocks"])


def paths_back(lots: Sequence[int]) -> int:
    """Return how many paths lead back from the lot that has the most, by counting and not by walking them."""
    most = 0
    for lot in lots:
        paths = {lot: 1}
        for step in sorted(trace(lot, Direction.BACK).steps, key=lambda step: -step.child):
            paths[step.parent] = paths.get(step.parent, 0) + paths[step.child]
        most = max(most, sum(paths.values()))
    return most
