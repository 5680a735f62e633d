"""A folder for papers, and what is to be seen in the record afterwards."""

from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from brewery.kernel.tables.problems import Problem
from brewery.production.services.records.loading import load_folder
from brewery.production.services.records.problems import RecordsRefused
from tests.production.records.papers import Papers, papers, write
from tests.standing import built_once

Told = set[tuple[str, int, str]]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An empty folder for papers."""
    return tmp_path / "papers"


@built_once
def loaded(db: None) -> None:
    """The small brewery's papers are on record."""
    with TemporaryDirectory() as place:
        load_folder(write(Path(place) / "papers", papers()))


@pytest.fixture
def problems_of(folder: Path) -> Callable[[Papers], list[Problem]]:
    """Load the papers and return why they are refused; fails where they are not."""

    def load(tables: Papers) -> list[Problem]:
        with pytest.raises(RecordsRefused) as refused:
            load_folder(write(folder, tables))
        return list(refused.value.problems)

    return load
