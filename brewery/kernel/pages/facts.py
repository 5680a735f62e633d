"""Facts: what a page says about one thing, label by label."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fact:
    """One line of a list of facts; without `text` the page says that it was not given."""

    label: str
    text: str
    href: str = ""
