"""People: who can be named in the record, and who signs in."""

from uuid import UUID

from django.contrib.auth.hashers import make_password
from django.contrib.auth.models import Group
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from brewery.kernel.access import Role
from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once

COMMAND_LINE = "command-line"


@once("add_person", returns=User)
def add_person(*, username: str, name: str, role: str, actor: User, request_id: UUID) -> User:
    """The person exists and has the role, among any others. They cannot sign in before a password is set.

    Somebody who is there already keeps name, password and roles. Raises InvalidInput for what is no user name or role.
    """
    if role not in set(Role):
        raise InvalidInput(field="role", value=role, problem=f"Choose one of: {', '.join(Role)}.")
    person = User.objects.filter(username=username).first() or _make(username, name)
    person.groups.add(Group.objects.get(name=role))
    return person


def give_password(*, person: User, password: str) -> None:
    """The person signs in with this password from now on. Raises InvalidInput for one that is too easily guessed."""
    try:
        validate_password(password, person)
    except ValidationError as wrong:
        raise InvalidInput(field="password", value="...", problem=" ".join(wrong.messages)) from wrong
    person.set_password(password)
    person.save(update_fields=["password"])


def _make(username: str, name: str) -> User:
    first, _, last = name.rpartition(" ")
    person = User(username=username, first_name=first, last_name=last)
    person.set_unusable_password()
    try:
        person.full_clean()
    except ValidationError as wrong:
        field, (problem, *_) = next(iter(wrong.message_dict.items()))
        raise InvalidInput(field=field, value=getattr(person, field), problem=problem) from wrong
    person.save()
    return person


def command_line() -> User:
    """Return the actor of what nobody signed in to do: commands on the server itself. It cannot sign in."""
    no_password = {"password": make_password(None), "is_active": False}
    person, _ = User.objects.get_or_create(
        username=COMMAND_LINE, defaults={"first_name": "Command", "last_name": "line", **no_password}
    )
    return person
