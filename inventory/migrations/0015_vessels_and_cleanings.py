import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

VESSELS = ("fermenter", "bright_tank", "brink")


def tanks_and_brinks_must_be_cleaned(apps: StateApps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    apps.get_model("inventory", "Location").objects.filter(kind__in=VESSELS).update(must_be_cleaned=True)


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0014_end_of_runs"),
        ("kernel", "0002_jobs"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Cleaning",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("happened_at", models.DateTimeField()),
                ("recorded_at", models.DateTimeField()),
                ("programme", models.CharField(max_length=120)),
                ("remark", models.TextField(blank=True, default="")),
            ],
            options={
                "ordering": ("happened_at", "id"),
            },
        ),
        migrations.CreateModel(
            name="ServiceMark",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("is_out", models.BooleanField()),
                ("happened_at", models.DateTimeField()),
                ("recorded_at", models.DateTimeField()),
                ("reason", models.TextField()),
            ],
            options={
                "ordering": ("happened_at", "id"),
            },
        ),
        migrations.CreateModel(
            name="UncleanFill",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("reason", models.TextField()),
            ],
            options={
                "ordering": ("id",),
            },
        ),
        migrations.AddField(
            model_name="location",
            name="must_be_cleaned",
            field=models.BooleanField(
                default=False, help_text="Whether it must be cleaned after each use, before something else goes in."
            ),
        ),
        migrations.RunPython(tanks_and_brinks_must_be_cleaned, migrations.RunPython.noop),
        migrations.AddConstraint(
            model_name="location",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("must_be_cleaned", False),
                    ("kind__in", ["fermenter", "bright_tank", "brink", "silo"]),
                    _connector="OR",
                ),
                name="only_vessels_must_be_cleaned",
            ),
        ),
        migrations.AddField(
            model_name="cleaning",
            name="actor",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="cleanings", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="cleaning",
            name="request",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="cleanings", to="kernel.request"
            ),
        ),
        migrations.AddField(
            model_name="cleaning",
            name="vessel",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="cleanings", to="inventory.location"
            ),
        ),
        migrations.AddField(
            model_name="cleaning",
            name="withdraws",
            field=models.OneToOneField(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="withdrawn_by",
                to="inventory.cleaning",
            ),
        ),
        migrations.AddField(
            model_name="servicemark",
            name="actor",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="service_marks", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="servicemark",
            name="request",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="service_marks", to="kernel.request"
            ),
        ),
        migrations.AddField(
            model_name="servicemark",
            name="vessel",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="service_marks", to="inventory.location"
            ),
        ),
        migrations.AddField(
            model_name="uncleanfill",
            name="before",
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inventory.lot"),
        ),
        migrations.AddField(
            model_name="uncleanfill",
            name="event",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="unclean_fills", to="inventory.event"
            ),
        ),
        migrations.AddField(
            model_name="uncleanfill",
            name="vessel",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="unclean_fills", to="inventory.location"
            ),
        ),
        migrations.AddIndex(
            model_name="cleaning",
            index=models.Index(fields=["vessel", "happened_at"], name="cleaning_of_vessel"),
        ),
        migrations.AddConstraint(
            model_name="cleaning",
            constraint=models.CheckConstraint(
                condition=models.Q(("happened_at__lte", models.F("recorded_at"))),
                name="a_cleaning_is_recorded_after_it_happened",
            ),
        ),
        migrations.AddConstraint(
            model_name="cleaning",
            constraint=models.CheckConstraint(
                condition=models.Q(("withdraws", None), models.Q(("remark", ""), _negated=True), _connector="OR"),
                name="a_withdrawn_cleaning_has_its_reason",
            ),
        ),
        migrations.AddIndex(
            model_name="servicemark",
            index=models.Index(fields=["vessel", "happened_at"], name="service_of_vessel"),
        ),
        migrations.AddConstraint(
            model_name="servicemark",
            constraint=models.CheckConstraint(
                condition=models.Q(("happened_at__lte", models.F("recorded_at"))),
                name="a_service_mark_is_recorded_after_it_happened",
            ),
        ),
        migrations.AddConstraint(
            model_name="servicemark",
            constraint=models.CheckConstraint(
                condition=models.Q(("reason", ""), _negated=True), name="a_service_mark_has_its_reason"
            ),
        ),
        migrations.AddConstraint(
            model_name="uncleanfill",
            constraint=models.UniqueConstraint(fields=("event", "vessel"), name="an_event_fills_a_vessel_once"),
        ),
        migrations.AddConstraint(
            model_name="uncleanfill",
            constraint=models.CheckConstraint(
                condition=models.Q(("reason", ""), _negated=True), name="an_unclean_fill_has_its_reason"
            ),
        ),
    ]
