"""The checks of a brewer's report that the authority publishes, each with the lines that do not agree.

Source: TTB P 5130.9, helpful hints (fill.io; webarchive.library.unt.edu, ttb.gov, brewer_report.shtml).
"""

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal

from brewery.science.duty.american_cells import ZERO, net_taxed
from brewery.science.duty.american_report import COLUMNS, TOTAL
from brewery.science.duty.movements import Place
from brewery.science.duty.questions import Question, known, yes
from brewery.science.duty.schemes import Account, Check, Line

CHECK_QUESTIONS = (
    Question("on_returns_bbl", "How many barrels were on the excise tax returns of the period?", "US bbl", None, True),
    Question("on_export_forms_bbl", "How many barrels were on the export forms of the period?", "US bbl", None, True),
    Question(
        "shortages_are_settled", "Were shortages of kegs and cases explained, or tax paid on them?", None, False, True
    ),
)
_LETTER = {column.key: column.label[1] for column in COLUMNS}


class _Form:
    """The lines by number, to be read as the published checks speak of them."""

    def __init__(self, lines: Sequence[Line]) -> None:
        self._cells: Mapping[str, Mapping[str, Decimal]] = {line.number: line.cells for line in lines}

    def at(self, number: str, column: str = TOTAL) -> Decimal:
        return self._cells[number][column]


def report_checks(account: Account, lines: Sequence[Line]) -> tuple[Check, ...]:
    """Return the ten published checks in their order. Raises OutOfRange where a fact is not a number or a yes."""
    form = _Form(lines)
    return (*_carried(account, form), *_crossed(form), _balanced(form), *_declared(account, form))


def _carried(account: Account, form: _Form) -> Iterator[Check]:
    wrong = [at for at in Place if form.at("1", at) != account.opening.get(at, ZERO)]
    told = ", ".join(f"1({_LETTER[at]}) is {form.at('1', at)}, was {account.opening.get(at, ZERO)}" for at in wrong)
    yield _check("1", not wrong, "Line 1 is line 33 of the period before", told)


def _crossed(form: _Form) -> Iterator[Check]:
    bulk, racked, bottling = Place.RACKING_BULK, Place.RACKING_KEG, Place.BOTTLING_BULK
    returned = form.at("24", bulk) + form.at("24", bottling)
    received = form.at("4", Place.CELLAR)
    told = f"4(b) is {received}, 24(c) and 24(e) are {returned}, 4(g) is {form.at('4')}"
    yield _check("2", received == returned == form.at("4"), "Line 4(b) is 24(c) and 24(e), and 4(g)", told)
    for key, (line, column), (other, other_column) in (
        ("3", ("6", bulk), ("22", Place.CELLAR)),
        ("4", ("6", bottling), ("23", Place.CELLAR)),
        ("5", ("9", racked), ("25", bulk)),
        ("6", ("10", Place.BOTTLING_CASE), ("26", bottling)),
    ):
        here, there = form.at(line, column), form.at(other, other_column)
        left, right = f"{line}({_LETTER[column]})", f"{other}({_LETTER[other_column]})"
        yield _check(key, here == there, f"Line {left} is {right}", f"{left} is {here}, {right} is {there}")


def _balanced(form: _Form) -> Check:
    wrong = [c.key for c in COLUMNS if form.at("13", c.key) != form.at("34", c.key)]
    told = ", ".join(
        f"13({_LETTER[at]}) is {form.at('13', at)}, 34({_LETTER[at]}) is {form.at('34', at)}" for at in wrong
    )
    return _check("7", not wrong, "Line 13 is line 34 in every column", told)


def _declared(account: Account, form: _Form) -> Iterator[Check]:
    net = form.at("14") + form.at("15") - form.at("7")
    on_returns = known(CHECK_QUESTIONS, account.facts, "on_returns_bbl")
    on_returns = net_taxed(account.movements) if on_returns is None else on_returns
    told = f"they are {net}, the returns have {on_returns}"
    yield _check("8", net == on_returns, "Lines 14 and 15 less 7 are on the excise tax returns", told)
    sent = form.at("16") + form.at("17")
    on_forms = known(CHECK_QUESTIONS, account.facts, "on_export_forms_bbl")
    told = f"they are {sent}, the forms have {on_forms}"
    if on_forms is None:
        told = f"they are {sent}; enter what the forms have"
    yield _check("9", sent == (on_forms or ZERO), "Lines 16 and 17 are on the export forms", told)
    short = {at: form.at("31", at) for at in (Place.RACKING_KEG, Place.BOTTLING_CASE)}
    told = ", ".join(f"31({_LETTER[at]}) is {barrels}" for at, barrels in short.items() if barrels)
    settled = yes(CHECK_QUESTIONS, account.facts, "shortages_are_settled") or not any(short.values())
    yield _check("10", settled, "Shortages of kegs and cases are explained, or tax is paid on them", told)


def _check(key: str, agrees: bool, rule: str, told: str) -> Check:
    return Check(key, agrees, f"{rule}." if agrees else f"{rule}: {told}.")
