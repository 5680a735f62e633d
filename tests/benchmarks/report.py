"""Measuring on all the histories in one run, and printing the table: ratios of two things, never a time alone."""

import os
import platform
from collections.abc import Iterable
from random import Random
from statistics import median, quantiles

from django import get_version
from django.db import connection

from inventory.models import Link, Lot
from tests.benchmarks import answers
from tests.benchmarks.databases import History, using
from tests.benchmarks.draws import draws_a_second
from tests.benchmarks.making import make_missing
from tests.benchmarks.proving import SAMPLED, proved
from traceability.queries.graph import Direction
from traceability.queries.trace import Trace, trace

SMALL, LARGE = 100_000, 1_000_000
DRAWS = 200
Line = tuple[str, str, str, str]


def run(database: str, lots: int, small: int = SMALL, large: int = LARGE) -> None:
    """Make what is missing, measure, and print."""
    ordinary = History(database, large)
    reconvergent = History(database, large, reconvergent=True)
    beginning = History(database, small)
    for history in (beginning, ordinary, reconvergent):
        make_missing(history)
    lines: list[Line] = []
    with using(ordinary):
        _warm_up()
        graph = answers.graph_of_all_links()
        compared = {way: answers.compare(_lots(lots, way), way, graph) for way in Direction}
        del graph
    lines += _answer_lines(compared)
    lines += _growth(beginning, ordinary, lots)
    with using(ordinary):
        lines += _proof()
    lines += _reconvergence(reconvergent, ordinary, compared[Direction.BACK], lots)
    with using(ordinary):
        lines += _draws()
        _print_head(lots, large)
    print_table(lines)


def _lots(count: int, way: Direction = Direction.BACK, up_to: int | None = None) -> list[int]:
    """Return random lots that lead somewhere in that direction, the same each time."""
    near = "child" if way is Direction.BACK else "parent"
    links = Link.objects.filter(child__lte=up_to) if up_to else Link.objects.all()
    keys = sorted(links.values_list(near, flat=True).distinct())
    return Random(11).sample(keys, count)


def _warm_up() -> None:
    for way in Direction:
        for lot in _lots(20, way):
            trace(lot, way)


def _answer_lines(compared: dict[Direction, answers.Compared]) -> Iterable[Line]:
    targets = {Direction.BACK: "<= 2.5", Direction.FORWARD: "<= 3.0"}
    for way, figures in compared.items():
        yield f"full answer {way} / same links by known ids", _spread(figures.to_known_ids), targets[way], ""
        yield f"full answer {way} / networkx, preloaded", _spread(figures.to_networkx), "", ""
        yield (
            f"links in an answer {way}",
            f"{median(figures.links):,.0f}",
            "",
            f"{1e3 * median(figures.seconds):.2f} ms, {figures.microseconds_a_link:.1f} us a link",
        )


def _growth(beginning: History, ordinary: History, count: int) -> Iterable[Line]:
    with using(beginning):
        newest = Lot.objects.order_by("-pk").values_list("pk", flat=True)[0]
        lots = _lots(count, up_to=newest)
    pages, times = [], []
    for lot in lots:
        spent, (before, after) = answers.shortest(
            [lambda lot=lot, where=where: _traced(lot, where) for where in (beginning, ordinary)]
        )
        if sorted(before.steps) != sorted(after.steps):
            raise answers.Disagreement(f"Lot {lot} has another history in the longer one.")
        touched = [_touched(lot, where) for where in (beginning, ordinary)]
        pages.append(touched[1] / touched[0])
        times.append(spent[1] / spent[0])
    yield "same answer, ten times the history: pages touched", _spread(pages), "<= 1.3", ""
    yield "same answer, ten times the history: time", _spread(times), "", ""


def _traced(lot: int, where: History) -> Trace:
    with using(where):
        return trace(lot, Direction.BACK)


def _touched(lot: int, where: History) -> int:
    with using(where):
        return answers.buffers_touched(lot, Direction.BACK)


def _reconvergence(reconvergent: History, ordinary: History, back: answers.Compared, count: int) -> Iterable[Line]:
    with using(reconvergent):
        _warm_up()
        lots = _lots(count)
        figures = answers.compare(lots, Direction.BACK, None)
        paths = answers.paths_back(lots)
    ratio = figures.microseconds_a_link / back.microseconds_a_link
    words = f"{median(figures.links):,.0f} links, up to {paths:.1e} paths"
    yield "time a link, reconvergent / ordinary", f"{ratio:.2f}", "<= 1.5", words


def prove_only(database: str, large: int = LARGE) -> None:
    """Make the long history where it is missing, prove it, and print what that took."""
    history = History(database, large)
    make_missing(history)
    with using(history):
        print_table(list(_proof()))


def _proof() -> Iterable[Line]:
    found = proved()
    yield "proof of every lot at once: seconds", f"{found.seconds:.1f}", "<= 60", str(found)
    yield "every lot by itself / all at once", f"{found.ratio:,.0f}", "", f"{SAMPLED} random lots, scaled"


def _draws() -> Iterable[Line]:
    service, bare, statements = draws_a_second(DRAWS)
    words = f"{service:,.0f} / {bare:,.0f} a second, {statements} statements a draw"
    yield "draws by the service / same statements by psycopg", f"{service / bare:.2f}", "", words


def _spread(ratios: list[float]) -> str:
    return f"{median(ratios):.2f} ({quantiles(ratios, n=20)[-1]:.2f} at 95 %)"


def _print_head(lots: int, large: int) -> None:
    from tests.benchmarks.history import ORDINARY, RECONVERGENT

    version = connection.pg_version if connection.vendor == "postgresql" else ""
    print(f"Python {platform.python_version()}, Django {get_version()}, {connection.vendor} {version}, {_settings()};")
    print(f"{os.cpu_count()} cores, all in memory, {large:,} links.")
    print(f"{lots} random lots, each way {answers.ROUNDS} times in turn, the shortest taken; medians of ratios a lot.")
    print(f"ordinary: {ORDINARY}")
    print(f"reconvergent: {RECONVERGENT}")


def _settings() -> str:
    names = ("shared_buffers", "work_mem", "random_page_cost", "jit") if connection.vendor == "postgresql" else ()
    found = []
    with connection.cursor() as cursor:
        for name in names:
            cursor.execute(f"SHOW {name}")
            found.append(f"{name} {cursor.fetchone()[0]}")
    return ", ".join(found)


def print_table(lines: list[Line]) -> None:
    """Print what was measured, its goal beside it."""
    header: Line = ("measured", "ratio", "goal", "")
    widths = [max(len(line[column]) for line in [header, *lines]) for column in range(4)]
    for line in [header, *lines]:
        print("  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip())
