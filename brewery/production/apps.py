"""The Django app."""

from django.apps import AppConfig


class ProductionConfig(AppConfig):
    name = "brewery.production"
    label = "production"
    default_auto_field = "django.db.models.BigAutoField"
