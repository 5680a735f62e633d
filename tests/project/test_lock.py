"""requirements.lock installs the same packages everywhere and says nothing of where they came from."""

import re
import tomllib

from manage import LOCK

LINES = LOCK.read_text().splitlines()
ENTRIES = [line for line in LINES if line and not line.startswith((" ", "#"))]


def test_the_lock_names_no_host_and_no_place_on_a_disk():
    assert [line for line in LINES if re.search(r"://|^-|file:|@ |(^|\s)\.{0,2}/", line)] == []


def test_every_package_is_pinned_and_hashed():
    assert ENTRIES
    assert [entry for entry in ENTRIES if not re.match(r"^[\w.-]+(\[[\w,-]+\])?==\S+( ; .*)? \\$", entry)] == []
    assert sum("--hash=sha256:" in line for line in LINES) >= len(ENTRIES)


def test_every_declared_package_is_in_the_lock():
    declared = tomllib.loads((LOCK.parent / "pyproject.toml").read_text())
    wanted = [*declared["project"]["dependencies"], *declared["dependency-groups"]["dev"]]
    names = {re.split(r"[\[>=<]", line)[0] for line in wanted}
    locked = {re.split(r"[\[=]", entry)[0] for entry in ENTRIES}
    assert names - locked == set()
