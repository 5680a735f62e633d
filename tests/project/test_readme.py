"""README.md keeps up with what it describes."""

from pathlib import Path

from django.conf import settings

from brewery.kernel.access import Role
from tests.test_compose import OURS

README = (Path(settings.BASE_DIR) / "README.md").read_text()


def test_every_variable_that_is_read_is_described():
    assert [name for name in OURS["web"]["environment"] if f"\n| `{name}` |" not in README] == []


def test_every_role_is_described():
    assert [role.value for role in Role if f"\n| {role.value} |" not in README] == []
