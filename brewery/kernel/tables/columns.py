"""Columns: what a table looks like."""

from dataclasses import dataclass

from brewery.kernel.tables.cells import Form


@dataclass(frozen=True)
class Column:
    """One column: its name, what its cells look like, and whether they may be empty."""

    name: str
    form: Form
    required: bool = True
