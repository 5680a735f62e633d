"""Foreign keys point down the layers, as imports do: the ledger never knows who uses it."""

import pytest
from django.apps import apps
from django.core.management import call_command

LAYERS = ["kernel", "inventory", "production", "traceability"]
OURS = {label: height for height, label in enumerate(LAYERS)}


def test_every_foreign_key_points_down_or_sideways():
    upward = [
        f"{model._meta.label}.{field.name} -> {field.related_model._meta.label}"
        for label in LAYERS
        for model in apps.get_app_config(label).get_models()
        for field in model._meta.get_fields()
        if field.is_relation and field.concrete and field.related_model._meta.app_label in OURS
        if OURS[field.related_model._meta.app_label] > OURS[label]
    ]
    assert upward == []


@pytest.mark.django_db
def test_no_migration_is_missing(settings):
    settings.MIGRATION_MODULES = {}
    call_command("makemigrations", "--check", "--dry-run", verbosity=0)
