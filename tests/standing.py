"""What stands before a test begins, and is alike for every test that asks for it, is built once and not once a test.

A fixture that is `built_once` writes its rows in a savepoint of its own, above those of the fixtures that it asks for:
a storey. Each test runs in a savepoint above the top storey, so what it writes is taken back and the storeys stay for
the next test. What a fixture returned is handed out as a copy, so nothing leaks from one test into another.
"""

import copy
import functools
import inspect
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any, TypeVar

import pytest
from django.db import connection, transaction

Build = Callable[..., Any]
Plan = tuple[tuple[str, Build], ...]
"""Names of fixtures and what builds them, each after those that it asks for."""

B = TypeVar("B", bound=Build)


def built_once(build: B) -> B:
    """Make a fixture of a function that writes rows and returns what can be copied.

    It may ask for other fixtures that are built once, and for `db`; never for one that patches, freezes the clock or
    changes settings. In a test whose transactions are its own, which leaves no storey standing, it is built anew.
    """

    @functools.wraps(build)
    def handed_out(**asked: Any) -> Any:
        return STOREYS.given(build) if STOREYS.stands(build) else build(**asked)

    handed_out.built_once = build  # type: ignore[attr-defined]
    return pytest.fixture(handed_out)  # type: ignore[return-value]


@dataclass
class Storey:
    """One fixture's rows. `values`: what it and those below it returned, by name and untouched by any test."""

    build: Build
    name: str
    savepoint: transaction.Atomic
    values: dict[str, Any]


class Storeys:
    """What stands on the database of the tests, lowest first."""

    def __init__(self) -> None:
        self._standing: list[Storey] = []
        self._given: dict[str, Any] = {}

    def stands(self, build: Build) -> bool:
        return any(storey.build is build for storey in self._standing)

    def given(self, build: Build) -> Any:
        """Return this test's own copy of what the fixture returned."""
        (name,) = (storey.name for storey in self._standing if storey.build is build)
        return self._given[name]

    def raise_to(self, plan: Plan) -> None:
        """Exactly the plan stands, and new copies of it are ready to be given."""
        kept = 0
        for storey, planned in zip(self._standing, plan, strict=False):
            if (storey.name, storey.build) != planned:
                break
            kept += 1
        self.lower_to(kept)
        for name, build in plan[kept:]:
            self._build(name, build)
        self._given = self._copies()

    def lower_to(self, kept: int) -> None:
        """All but the lowest `kept` are taken back."""
        while len(self._standing) > kept:
            _take_back(self._standing.pop().savepoint)

    def _copies(self) -> dict[str, Any]:
        """Copied together, so that what was one object for two fixtures still is."""
        return copy.deepcopy(self._standing[-1].values) if self._standing else {}

    def _build(self, name: str, build: Build) -> None:
        """The rules that wait for the end of a transaction are asked here, so that no test asks them for these rows."""
        values, savepoint, waiting = self._copies(), _savepoint(), len(connection.run_on_commit)
        try:
            values[name] = build(**{asked: values.get(asked) for asked in inspect.signature(build).parameters})
            connection.check_constraints()
        except BaseException:
            _take_back(savepoint)
            raise
        del connection.run_on_commit[waiting:]
        self._standing.append(Storey(build, name, savepoint, copy.deepcopy(values)))


STOREYS = Storeys()


def _savepoint() -> transaction.Atomic:
    """Begin a savepoint which, like that of a test, passes for no transaction when a service wants the outermost."""
    savepoint = transaction.atomic()
    savepoint._from_testcase = True
    savepoint.__enter__()
    return savepoint


def _take_back(savepoint: transaction.Atomic) -> None:
    transaction.set_rollback(True)
    savepoint.__exit__(None, None, None)


def plan_for(item: pytest.Item) -> Plan:
    """Return the storeys that a test asks for, itself or by its fixtures, in the order that pytest would take."""
    definitions = getattr(item, "_fixtureinfo").name2fixturedefs  # noqa: B009 - pytest types it nowhere
    plan: dict[str, Build] = {}
    seen: set[str] = set()

    def ask_for(names: Iterable[str]) -> None:
        for name in names:
            if name in seen or name not in definitions:
                continue
            seen.add(name)
            ask_for(definitions[name][-1].argnames)
            if build := getattr(definitions[name][-1].func, "built_once", None):
                plan[name] = build

    ask_for(item.fixturenames)
    return () if _commits(item) else tuple(plan.items())


def _commits(item: pytest.Item) -> bool:
    """Return whether the test's transactions are its own, so that nothing may be open around them."""
    marker = item.get_closest_marker("django_db")
    asked = {"transactional_db", "live_server", "django_db_reset_sequences"} & set(item.fixturenames)
    return bool(asked) or bool(marker and (marker.kwargs.get("transaction") or any(marker.args)))


def side_by_side(items: Sequence[pytest.Item]) -> Iterator[pytest.Item]:
    """Return the tests in their order, but those of a file that stand on the same storeys next to each other."""
    for _, file in groupby(items, lambda item: item.path):
        groups: dict[Plan, list[pytest.Item]] = {}
        for item in file:
            groups.setdefault(plan_for(item), []).append(item)
        for plan in sorted(groups, key=lambda plan: [name for name, _ in plan]):
            yield from groups[plan]
