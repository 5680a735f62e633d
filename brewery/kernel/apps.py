"""The Django app of people, requests and database rules."""

from typing import Any

from django.apps import AppConfig
from django.db import connections
from django.db.models.signals import post_migrate, pre_migrate


class KernelConfig(AppConfig):
    name = "brewery.kernel"
    label = "kernel"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from brewery.kernel import triggers  # noqa: F401  the import registers them

        pre_migrate.connect(lift_triggers, sender=self)
        post_migrate.connect(install_triggers, sender=self)
        post_migrate.connect(keep_roles, sender=self)


def keep_roles(using: str, **_: Any) -> None:
    """Every role of the matrix exists as a group after each migration."""
    from django.contrib.auth.models import Group

    from brewery.kernel.access import Role

    present = set(Group.objects.using(using).values_list("name", flat=True))
    Group.objects.using(using).bulk_create([Group(name=role.value) for role in Role if role.value not in present])


def install_triggers(using: str, **_: Any) -> None:
    """Every registered trigger, of this app and of those above, exists after each migration."""
    from brewery.kernel.database.triggers import install_all

    install_all(connections[using])


def lift_triggers(using: str, plan: list[Any], **_: Any) -> None:
    """On SQLite no trigger stands in the way of a migration, which could not drop a column that one reads.

    `install_triggers` puts them back when the migration is through.
    """
    from brewery.kernel.database.triggers import drop_all

    if plan and connections[using].vendor == "sqlite":
        drop_all(connections[using])
