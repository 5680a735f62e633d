"""The Django app of stock and its ledger."""

from typing import Any

from django.apps import AppConfig
from django.db import connections
from django.db.models.signals import post_migrate


class InventoryConfig(AppConfig):
    name = "inventory"
    label = "inventory"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from inventory import seals, triggers  # noqa: F401  the import registers them
        from inventory.services import climate_alerts, freshness_alerts, keeping_alerts, stock_alerts  # noqa: F401  the import says what is looked for

        post_migrate.connect(keep_boundaries, sender=self)
        post_migrate.connect(keep_days, sender=self)


def keep_boundaries(using: str, **_: Any) -> None:
    """The boundaries of the stock exist after each migration: transformed, loss, destroyed, count difference."""
    from inventory.models import Location

    if Location._meta.db_table not in connections[using].introspection.table_names():
        return  # the migrations of this app were taken back
    kinds = (kind for kind in Location.BOUNDARIES if kind not in (Location.Kind.SUPPLIER, Location.Kind.CUSTOMER))
    for kind in kinds:
        Location.objects.using(using).get_or_create(
            kind=kind,
            defaults={
                "code": kind.value,
                "name": kind.label.capitalize(),
                "may_go_below_zero": kind in Location.ORIGINS,
            },
        )


def keep_days(using: str, **_: Any) -> None:
    """The days of the day flows are the brewery's own after each migration, and are made anew where they were not."""
    from inventory.models import YearFlow
    from inventory.services.day_flows import keep_the_days

    if YearFlow._meta.db_table in connections[using].introspection.table_names():
        keep_the_days(using)
