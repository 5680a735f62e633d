import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0011_customers"),
        ("kernel", "0003_seals"),
        ("production", "0005_discarded_sheets"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="TankReading",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("happened_at", models.DateTimeField()),
                (
                    "property",
                    models.CharField(
                        choices=[
                            ("gravity", "gravity"),
                            ("temperature", "temperature"),
                            ("ph", "pH"),
                            ("co2", "carbon dioxide"),
                            ("oxygen", "dissolved oxygen"),
                            ("diacetyl", "diacetyl"),
                            ("pressure", "pressure"),
                        ],
                        max_length=11,
                    ),
                ),
                ("value_micro", models.BigIntegerField()),
                ("remark", models.CharField(blank=True, default="", max_length=200)),
                ("reason", models.CharField(blank=True, default="", max_length=200)),
                ("recorded_at", models.DateTimeField()),
                (
                    "actor",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="tank_readings",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="tank_readings", to="inventory.lot"
                    ),
                ),
                (
                    "replaces",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="replaced_by",
                        to="production.tankreading",
                    ),
                ),
                (
                    "request",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="kernel.request"
                    ),
                ),
                (
                    "vessel",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="tank_readings",
                        to="inventory.location",
                    ),
                ),
            ],
            options={
                "ordering": ("happened_at", "pk"),
                "indexes": [models.Index(fields=["vessel", "happened_at"], name="reading_by_vessel")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("reason", ""), ("replaces", None)),
                            models.Q(
                                models.Q(("replaces", None), _negated=True), models.Q(("reason", ""), _negated=True)
                            ),
                            _connector="OR",
                        ),
                        name="a_corrected_reading_says_why",
                    )
                ],
            },
        ),
    ]
