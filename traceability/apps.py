"""The Django app."""

from django.apps import AppConfig


class TraceabilityConfig(AppConfig):
    name = "traceability"
    label = "traceability"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from traceability import seals, triggers  # noqa: F401  the import registers them
        from traceability.queries import (  # noqa: F401  the imports say what quality's desk is told, and what is audited
            duty_audit,
            findings,
        )
        from traceability.services import (  # noqa: F401  the imports say how contradictions, allergens, holds and alerts are found
            allergens,
            claims,
            duty_alerts,
            holds,
            record_alerts,
        )
