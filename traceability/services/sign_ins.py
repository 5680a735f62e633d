"""Sign-ins of the demonstration: one for each role, with one password that this installation made for itself."""

import os
import secrets
import uuid
from dataclasses import dataclass
from pathlib import Path

from django.contrib.auth.hashers import make_password
from django.db import transaction

from brewery.kernel.access import Role
from brewery.kernel.models import User
from brewery.kernel.services.people import add_person, command_line

_NAMESPACE = uuid.UUID("0d7b9a52-7a0e-5b53-9b0c-8f1f3f0f6a7e")


@dataclass(frozen=True)
class SignIns:
    """The user names, one a role, and the password of them all."""

    usernames: tuple[str, ...]
    password: str


@transaction.atomic(durable=True)
def keep_sign_ins(folder: Path) -> SignIns:
    """For every role there is a person named like it who can sign in; the password lies in a file of `folder`.

    The file is made once, readable by its owner only. Somebody of that name who has another password keeps it, unless
    the file was new.
    """
    password, is_new = _password_in(folder / "demo-password")
    encoded = make_password(password)
    for role in Role:
        person = _person_of(role)
        if is_new or not person.has_usable_password():
            User.objects.filter(pk=person.pk).update(password=encoded)
    return SignIns(tuple(role.value for role in Role), password)


def _person_of(role: Role) -> User:
    return add_person(
        username=role.value,
        name=f"Demonstration {role.value}",
        role=role.value,
        actor=command_line(),
        request_id=uuid.uuid5(_NAMESPACE, role.value),
    )


def _password_in(file: Path) -> tuple[str, bool]:
    """Return the password that the file holds, made where there is no file, and whether it was made just now."""
    try:
        descriptor = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return file.read_text().strip(), False
    password = secrets.token_urlsafe(9)
    with open(descriptor, "w") as made:
        made.write(password + "\n")
    return password, True
