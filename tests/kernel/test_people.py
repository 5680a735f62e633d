"""People are added with a role, and sign in once they have a password."""

import io
from itertools import chain, repeat

import pytest
from django.core.management import CommandError, call_command

from brewery.kernel.access import Right
from brewery.kernel.errors import InvalidInput
from brewery.kernel.management.commands import add_person as command
from brewery.kernel.models import User
from brewery.kernel.services.people import add_person, command_line, give_password
from tests.brewhouse import rid

pytestmark = pytest.mark.django_db


def add(username: str = "ada", name: str = "Ada Brook", role: str = "brewing") -> User:
    return add_person(username=username, name=name, role=role, actor=command_line(), request_id=rid())


def test_a_person_has_the_role_and_cannot_sign_in_yet():
    ada = add()
    assert (ada.first_name, ada.last_name) == ("Ada", "Brook")
    assert ada.has_right(Right.BREW)
    assert not ada.has_usable_password()


def test_a_second_role_is_added_to_the_first():
    add()
    ada = add(name="Somebody Else", role="quality")
    assert sorted(group.name for group in ada.groups.all()) == ["brewing", "quality"]
    assert ada.get_full_name() == "Ada Brook"


@pytest.mark.parametrize(
    ("wrong", "field"),
    [({"role": "baker"}, "role"), ({"username": "ada brook"}, "username"), ({"username": "a" * 151}, "username")],
)
def test_what_is_no_name_or_role_is_refused(wrong, field):
    with pytest.raises(InvalidInput) as refused:
        add(**wrong)
    assert refused.value.field == field
    assert not User.objects.filter(groups__isnull=False).exists()


@pytest.mark.parametrize("password", ["short", "password123", "1234567890123"])
def test_a_password_that_is_easily_guessed_is_refused(password):
    ada = add()
    with pytest.raises(InvalidInput):
        give_password(person=ada, password=password)
    assert not User.objects.get(username="ada").has_usable_password()


def test_the_actor_of_commands_cannot_sign_in_and_has_no_rights():
    actor = command_line()
    assert command_line() == actor
    assert not actor.has_usable_password()
    assert not actor.is_active
    assert not any(actor.has_right(right) for right in Right)


def run(*arguments: str) -> str:
    out = io.StringIO()
    call_command("add_person", *arguments, stdout=out)
    return out.getvalue()


def typed(monkeypatch: pytest.MonkeyPatch, *passwords: str) -> None:
    """The command's questions are answered one after the other."""
    answers = chain(passwords, repeat(""))
    monkeypatch.setattr(command.getpass, "getpass", lambda prompt: next(answers))


def test_the_command_makes_the_first_administrator(monkeypatch):
    typed(monkeypatch, "three barley corns", "three barley corns")
    run("martha", "--role", "administration", "--full-name", "Martha Quill")
    martha = User.objects.get(username="martha")
    assert martha.check_password("three barley corns")
    assert martha.has_right(Right.MANAGE_PEOPLE)
    assert martha.get_full_name() == "Martha Quill"


def test_the_command_prints_a_password_that_it_made():
    password = run("martha", "--role", "administration", "--make-password").rpartition("Password: ")[2].strip()
    assert len(password) == 16
    assert User.objects.get(username="martha").check_password(password)


@pytest.mark.parametrize("passwords", [("three barley corns", "four barley corns"), ("short", "short")])
def test_the_command_leaves_nobody_behind_without_a_password(monkeypatch, passwords):
    typed(monkeypatch, *passwords)
    with pytest.raises(CommandError):
        run("martha", "--role", "administration")
    assert not User.objects.filter(username="martha").exists()
