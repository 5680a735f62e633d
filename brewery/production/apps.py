"""The Django app."""

from django.apps import AppConfig


class ProductionConfig(AppConfig):
    name = "brewery.production"
    label = "production"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from brewery.production import seals, triggers  # noqa: F401  the import registers them
        from brewery.production.services import brewing_alerts, reordering, yeast_keeping  # noqa: F401  the import says what is looked for
