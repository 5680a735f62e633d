"""What the database refused, in words: the broken rule's name is the sentence that it keeps."""

import functools
import re
from collections.abc import Iterator
from typing import Any

from django.apps import apps
from django.db import Error, models

from brewery.kernel.database import triggers

_SQLITE_COLUMNS = re.compile(r"UNIQUE constraint failed: ([\w.]+(?:, [\w.]+)*)$")
_BUSY_STATES = ("40", "53", "55", "57")
"""SQLSTATE classes that say "later": rolled back, out of resources, locked, shutting down (PostgreSQL, Appendix A)."""


def broken_rule(error: Error) -> str | None:
    """Return the name of the rule of ours that the database says is broken, or None where it names none."""
    named = getattr(getattr(error.__cause__, "diag", None), "constraint_name", None)
    if named in _rule_names():
        return str(named)
    text = str(error)
    for name in _rule_names():
        if re.search(rf"\b{name}\b", text):
            return name
    columns = _SQLITE_COLUMNS.search(text)
    return _unique_rules().get(frozenset(columns[1].split(", "))) if columns else None


def in_words(rule: str) -> str:
    """Return the rule as a sentence: `a_vessel_holds_one_lot` keeps that a vessel holds one lot."""
    return f"The database refuses: {rule.replace('_', ' ')}."


def is_busy(error: Error) -> bool:
    """Return whether the database could not do it now and may do it later: a lock, a deadlock, no connection free."""
    state = getattr(error.__cause__, "sqlstate", None) or ""
    return state.startswith(_BUSY_STATES) or "database is locked" in str(error)


@functools.cache
def _rule_names() -> frozenset[str]:
    named = {constraint.name for _, constraint in _constraints()}
    return frozenset(named | {trigger.name for trigger in triggers.expected("postgresql")})


@functools.cache
def _unique_rules() -> dict[frozenset[str], str]:
    """The rules that SQLite names only by their columns."""
    return {
        frozenset(f"{model._meta.db_table}.{model._meta.get_field(field).column}" for field in rule.fields): rule.name
        for model, rule in _constraints()
        if isinstance(rule, models.UniqueConstraint)
    }


def _constraints() -> Iterator[tuple[Any, models.BaseConstraint]]:
    for model in apps.get_models():
        if model.__module__.startswith(("brewery.", "inventory.", "traceability.")):
            for constraint in model._meta.constraints:
                yield model, constraint
