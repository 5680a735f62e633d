"""The Django app."""

from django.apps import AppConfig


class TraceabilityConfig(AppConfig):
    name = "traceability"
    label = "traceability"
    default_auto_field = "django.db.models.BigAutoField"
