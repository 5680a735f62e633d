"""`manage.py add_person NAME --role ROLE`: somebody can sign in; the first administrator of a new installation."""

import getpass
import secrets
import uuid
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from brewery.kernel.access import Role
from brewery.kernel.errors import DomainError
from brewery.kernel.services.people import add_person, command_line, give_password


class Command(BaseCommand):
    help = (
        "Add a person with a role, or a role to a person, and give them a password: typed twice, or made and printed."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("username", metavar="NAME", help="the name to sign in with")
        parser.add_argument("--role", required=True, choices=[role.value for role in Role])
        parser.add_argument("--full-name", default="", help="the name as people say it")
        parser.add_argument("--make-password", action="store_true", help="make a password and print it; asks nothing")

    def handle(self, *args: Any, **options: Any) -> None:
        """Raises CommandError where the name or the password cannot be."""
        made = secrets.token_urlsafe(12) if options["make_password"] else ""
        try:
            self._add(options, made or self._typed_password())
        except DomainError as refusal:
            raise CommandError(str(refusal)) from refusal
        shown = f" Password: {made}" if made else ""
        self.stdout.write(f"{options['username']} can sign in, with the role {options['role']}.{shown}")

    @transaction.atomic(durable=True)
    def _add(self, options: dict[str, Any], password: str) -> None:
        name = options["full_name"] or options["username"]
        person = add_person(
            username=options["username"], name=name, role=options["role"], actor=command_line(), request_id=uuid.uuid4()
        )
        give_password(person=person, password=password)

    def _typed_password(self) -> str:
        password = getpass.getpass("Password: ")
        if getpass.getpass("The same again: ") != password:
            raise CommandError("The two passwords differ; nothing was done.")
        return password
