"""Running the audits, and telling what they found."""

from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass

from django.db import connection

from brewery.kernel.database import triggers
from inventory.queries.audits import questions
from inventory.queries.audits.day_flows import flows_that_disagree
from inventory.queries.audits.uncleaned import fills_without_a_reason


@dataclass(frozen=True)
class Finding:
    """One row that disagrees with the postings."""

    audit: str
    table: str
    row: int
    detail: str

    def __str__(self) -> str:
        return f"{self.audit}: {self.table} {self.row}: {self.detail}"


@dataclass(frozen=True)
class Audit:
    """One named question. `detail` tells a disagreement from the two figures that came with the row."""

    name: str
    question: str
    detail: str

    def findings(self) -> Iterator[Finding]:
        """Yield every disagreement."""
        with connection.cursor() as cursor:
            cursor.execute(self.question)
            rows = cursor.fetchall()
        for table, row, first, second in rows:
            yield Finding(self.name, table, row, self.detail.format(first=first, second=second))


AUDITS = (
    Audit(
        "balances_are_the_sum_of_their_postings",
        questions.BALANCES,
        "at one of its locations the balance says {first}, the postings {second} micro-units",
    ),
    Audit(
        "balances_keep_their_locations_rules",
        questions.BALANCE_RULES,
        "lot {first} at location {second} carries other rules than the location",
    ),
    Audit(
        "no_place_was_ever_below_zero",
        questions.NEVER_BELOW_ZERO,
        "location {first} once held {second} micro-units of it",
    ),
    Audit(
        "a_vessel_holds_one_lot",
        questions.ONE_LOT_A_VESSEL,
        "lot {first} came before what it held had gone, a lot no newer than {second}",
    ),
    Audit(
        "a_lot_was_made_with_what_its_first_event_brought",
        questions.MADE_WITH,
        "the lot says {first}, its first event {second} micro-units",
    ),
    Audit(
        "a_lots_counts_are_its_count_differences",
        questions.COUNTED,
        "the lot says {first}, the postings {second} micro-units",
    ),
    Audit(
        "what_left_a_lot_went_into_its_children",
        questions.WENT_ACROSS,
        "the links carry {first}, the postings {second} micro-units",
    ),
    Audit("a_lot_made_of_others_names_them", questions.HAS_PARENTS, "no link leads to it"),
    Audit("a_parent_is_older_than_its_child", questions.PARENTS_OLDER, "lot {first} is not older than lot {second}"),
    Audit(
        "a_lots_make_up_is_written_with_it",
        questions.LINKS_WITH_THEIR_LOT,
        "written by event {first}, its lot by event {second}",
    ),
    Audit(
        "a_lot_is_used_after_it_was_made", questions.USED_AFTER_MADE, "lot {first} was made later, by event {second}"
    ),
    Audit(
        "a_reversal_mirrors_what_it_reverses",
        questions.REVERSALS_MIRROR,
        "{first} of {second} postings are mirrored at the same moment",
    ),
    Audit(
        "links_of_reversed_events_do_not_count",
        questions.REVERSED_LINKS,
        "marked with event {first}, reversed by event {second}",
    ),
    Audit(
        "lots_of_reversed_events_do_not_count",
        questions.REVERSED_LOTS,
        "marked with event {first}, reversed by event {second}",
    ),
    Audit("a_lot_is_what_was_last_decided", questions.LAST_DECISION, "decision {first} says otherwise"),
    Audit(
        "lots_were_released_when_they_were_used",
        questions.RELEASED_WHEN_USED,
        "lot {first} was not released then, by decision {second}, and nobody overrode it",
    ),
)

TRIGGERS = "every_rule_of_the_database_is_there"
FLOWS = "day_flows_are_the_sum_of_their_postings"
CLEAN = "vessels_were_clean_when_they_were_filled"

Finder = Callable[[], Iterable[tuple[int, str]]]
"""Yields the id of each row that disagrees, and how."""

_finders: dict[str, tuple[str, Finder]] = {
    CLEAN: ("event", fills_without_a_reason),
    FLOWS: ("material", flows_that_disagree),
}


def audit_of(name: str, table: str) -> Callable[[Finder], Finder]:
    """From now on the decorated function is an audit of this name, which finds rows of the table."""

    def register(finder: Finder) -> Finder:
        _finders[name] = (table, finder)
        return finder

    return register


def audit_names() -> list[str]:
    """Return the names of all audits, in the order in which they run."""
    return [TRIGGERS, *_finders, *(audit.name for audit in AUDITS)]


def run_audits(names: Collection[str] = ()) -> Iterator[tuple[str, list[Finding]]]:
    """Yield each audit's name with what it found; all of them, or those named."""
    if not names or TRIGGERS in names:
        yield TRIGGERS, [Finding(TRIGGERS, "trigger", 0, name) for name in triggers.missing(connection)]
    for name, (table, finder) in _finders.items():
        if not names or name in names:
            yield name, [Finding(name, table, row, detail) for row, detail in finder()]
    for audit in AUDITS:
        if not names or audit.name in names:
            yield audit.name, list(audit.findings())
