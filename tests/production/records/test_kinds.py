"""The description of the files keeps up with what is read."""

import re
from pathlib import Path

import pytest
from django.conf import settings

from brewery.production.services.records.calls.table import CALLS
from brewery.production.services.records.kinds import KINDS

README = (Path(settings.BASE_DIR) / "fixtures_demo" / "README.md").read_text(encoding="utf-8").splitlines()
HEAD = {"record", "happened_at", "recorded_by"}
A_VALUE = {"loss"}
"""Shown like a column's name on the line of the knock-outs, where it is what a cell may say."""


def described(file: str) -> set[str]:
    """Return the names that the table of the files gives for one of them."""
    (line,) = [line for line in README if line.startswith(f"| {file} |")]
    return set(re.findall(r"`([a-z_]+)`", line))


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.name)
def test_every_column_is_described_and_no_other(kind):
    columns = {column.name for column in kind.columns}
    told = described(kind.file) | (set() if kind.is_register else HEAD)
    assert told | A_VALUE == columns | A_VALUE
    assert columns <= told


def test_every_kind_has_its_call():
    assert list(CALLS) == list(KINDS)
