"""Decoding: the bytes of a file as text, or what is wrong with them."""

import csv
import re
from pathlib import Path

from brewery.kernel.tables.problems import Problem

LARGEST_BYTES = 64 * 2**20
"""Some half a million lines: above that a file is no record that people handed over."""


class Undecodable(Exception):
    """The file cannot be read as text; `problem` says where and why."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(str(problem))
        self.problem = problem


def text_of(path: Path) -> str:
    """Return the text of a file. Raises Undecodable."""
    try:
        size = path.stat().st_size
        content = path.read_bytes() if size <= LARGEST_BYTES else b""
    except OSError as refused:
        raise Undecodable(Problem(path.name, 0, "", f"It cannot be read: {refused.strerror}.")) from refused
    if size > LARGEST_BYTES:
        too_large = f"It is {size:,} bytes long; up to {LARGEST_BYTES:,} are read. Split it."
        raise Undecodable(Problem(path.name, 0, "", too_large))
    return text_of_content(path.name, content)


def text_of_content(file: str, content: bytes) -> str:
    """Return the text of what was handed over under that name, without a byte order mark. Raises Undecodable."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise Undecodable(Problem(file, 0, "", "It is in UTF-16; save it as CSV in UTF-8."))
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as wrong:
        before = content[: wrong.start].decode("utf-8-sig")
        reason = f"Byte {content[wrong.start]:#04x} is not UTF-8; save the file as CSV in UTF-8."
        raise Undecodable(_problem_after(file, before, reason)) from wrong
    if "\0" in text:
        before = text[: text.index("\0")]
        raise Undecodable(_problem_after(file, before, "There is a NUL character: this is not a text file."))
    return text


def _problem_after(file: str, before: str, reason: str) -> Problem:
    """Return the problem at the end of the text `before`, with its line and column as far as they can be told."""
    lines = re.split(r"\r\n|\r|\n", before)
    header, place = _cells(lines[0]), len(_cells(lines[-1])) - 1
    column = header[place] if len(lines) > 1 and 0 <= place < len(header) else ""
    return Problem(file, len(lines), column, reason)


def _cells(line: str) -> list[str]:
    return next(csv.reader([line or " "]), [""])
