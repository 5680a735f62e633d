"""A closed duty period as an archive that an auditor reads and checks without this service: CSV, JSON and digests."""

import hashlib
import io
import json
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any

from brewery.kernel.services.spreadsheets import Cell, Table, csv_lines
from traceability.models import DutyClosing
from traceability.queries.duty_lines import LINES
from traceability.queries.duty_periods import EXTRACT

KEEP_YEARS = 11
"""Nothing is deleted. The longest that we know of is 10 years from the end of the calendar year: Germany, § 147 AO, by
its text of 2022. Shorter: United States 3 years, 27 CFR 25.300; United Kingdom 6 years, from memory."""

STOCK = ("place", "product", "lot", "counted_at", "book_l", "counted_l", "difference_l", "reason")

README = """DUTY RECORD OF A CLOSED PERIOD
==============================

{caution}

Scheme          {scheme}
Period          {first} to {last}
Closed          {closed_at} (UTC) by {actor}
Amends          {amends}
Digest          {digest}
Seal            {seal}
Keep until      {keep_until}

WHAT IS HERE
record.csv      one row for each product, strength and container, and each line that something is on
postings.csv    each posting of the ledger that a line is the sum of
stock.csv       what was counted of beer within a week of the end, place by place, beside the book
strengths.csv   the alcohol and the original extract of each packaged lot, and of beer in tanks where it was measured
closing.json    all of it as it was kept when the period was closed
SHA256SUMS      the SHA-256 of each of these files

HOW TO CHECK IT
sha256sum -c SHA256SUMS
The digest above is the SHA-256 of the member "record" of closing.json, written as JSON in UTF-8 with names sorted, no
spaces and no escapes but those that JSON needs. The seal is the digest of the chain of seals over the whole record when
the period was closed.
For each row: the opening line, the late lines and the other lines add up to the closing line. For each product and
line, the postings add up to the line.

COLUMNS
Litres are exact decimals with a point. Above zero is what came into bond, below zero what left it. Moments are ISO 8601
with their offset, days as the brewery's clock told them. A text that begins with = + - @ has an apostrophe before it.
record.csv      product, name, strength (as measured, or "not measured"), container (keg, cask, bottles or cans; empty
                where nobody told), container_l (litres of one; empty for beer in tanks), part (opening, late, line,
                closing), line, words (what the line is called), litres
postings.csv    line, event (its number in the ledger), happened_at, recorded_at, lot, product, from, to, litres
stock.csv       place, product, lot, counted_at, book_l and counted_l (older archives leave both empty for
                counts off a sheet), difference_l (above zero what was found beyond the book), reason
strengths.csv   lot, product, alcohol, method, measured_on, laboratory, original_extract (of the wort, by Balling),
                extract_method, extract_on

LINES
{lines}

NOT SETTLED WHEN IT WAS CLOSED
{unsettled}
"""


def archive_of(closing: DutyClosing) -> bytes:
    """Return the archive: of one closing always the same bytes."""
    files = dict(_files(closing))
    sums = "".join(f"{hashlib.sha256(content).hexdigest()}  {name}\n" for name, content in files.items())
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in {**files, "SHA256SUMS": sums.encode()}.items():
            archive.writestr(zipfile.ZipInfo(name), content, zipfile.ZIP_DEFLATED)
    return packed.getvalue()


def archive_name(closing: DutyClosing) -> str:
    """Return what the archive is called, without an ending."""
    amendment = f"-amendment-{closing.pk}" if closing.amends_id else ""
    return f"duty-{closing.scheme}-{closing.first}-{closing.last}{amendment}"


def tables_of(record: Mapping[str, Any]) -> list[Table]:
    """Return the tables of what was kept of a period."""
    postings = ("line", "event", "happened_at", "recorded_at", "lot", "product", "from", "to", "litres")
    strengths = ("lot", "product", "alcohol", "method", "measured_on", "laboratory", *EXTRACT)
    head = ("product", "name", "strength", "container", "container_l", "part", "line", "words", "litres")
    return [
        Table("record", head, list(_rows(record["rows"]))),
        Table("postings", postings, [_posting(one, postings) for one in record["postings"]]),
        Table("stock", STOCK, [_taken(one) for one in record.get("stock", [])]),
        Table("strengths", strengths, [[one.get(name, "") for name in strengths] for one in record["strengths"]]),
    ]


def _files(closing: DutyClosing) -> Iterator[tuple[str, bytes]]:
    for table in tables_of(closing.record):
        yield f"{table.name}.csv", "".join(csv_lines(table)).encode()
    told = {
        "scheme": closing.scheme,
        "first": closing.first.isoformat(),
        "last": closing.last.isoformat(),
        "closed_at": closing.closed_at.isoformat(),
        "actor": closing.actor.get_username(),
        "reason": closing.reason,
        "digest": closing.digest,
        "seal": closing.seal.digest if closing.seal else None,
        "record": closing.record,
    }
    yield "closing.json", (json.dumps(told, indent=1, sort_keys=True, ensure_ascii=False) + "\n").encode()
    yield "README.txt", _readme(closing, told).encode()


def _readme(closing: DutyClosing, told: Mapping[str, Any]) -> str:
    unsettled = closing.record["unsettled"] or ["nothing"]
    return README.format(
        **{**told, "seal": told["seal"] or "none"},
        amends=f"closing {closing.amends_id}: {closing.reason}" if closing.amends_id else "nothing",
        caution=closing.record["caution"],
        keep_until=f"{closing.last.year + KEEP_YEARS}-12-31 at least; ask your authority and adviser",
        lines="\n".join(f"{name:<19} {words}" for name, words in LINES.items()),
        unsettled="\n".join(unsettled),
    )


def _taken(one: Mapping[str, Any]) -> list[Cell]:
    return [Decimal(one[name]) if name.endswith("_l") and one[name] is not None else one[name] for name in STOCK]


def _posting(one: Mapping[str, Any], names: Sequence[str]) -> list[Cell]:
    return [Decimal(one[name]) if name == "litres" else one[name] for name in names]


def _rows(rows: Sequence[Mapping[str, Any]]) -> Iterator[list[Cell]]:
    for row in rows:
        contents = Decimal(row["container_l"]) if row["container_l"] else None
        head = [row["product"], row["name"], row["strength"], row.get("container", ""), contents]
        yield [*head, "opening", "", "On hand at the beginning", Decimal(row["opening_l"])]
        for part, name in (("late", "late"), ("line", "lines")):
            for line in row[name]:
                yield [*head, part, line["line"], line["words"], Decimal(line["litres"])]
        yield [*head, "closing", "", "On hand at the end", Decimal(row["closing_l"])]
