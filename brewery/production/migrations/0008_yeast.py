import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0013_warmths"),
        ("kernel", "0003_seals"),
        ("production", "0007_packaging"),
    ]

    operations = [
        migrations.CreateModel(
            name="StrainSetting",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("last_generation", models.PositiveSmallIntegerField()),
                ("least_viability_micro", models.BigIntegerField()),
                ("most_days", models.PositiveSmallIntegerField()),
                ("rate_micro", models.BigIntegerField()),
                ("harvest_from_days", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("harvest_until_days", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("in_force_from", models.DateField()),
                ("source", models.CharField(blank=True, default="", max_length=200)),
                (
                    "material",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="strain_settings",
                        to="inventory.material",
                    ),
                ),
                (
                    "request",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="kernel.request"
                    ),
                ),
            ],
            options={
                "ordering": ("material", "-in_force_from", "-pk"),
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("last_generation__gte", 1)), name="a_strain_is_used_once_at_least"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("least_viability_micro__gte", 0), ("least_viability_micro__lte", 100000000)
                        ),
                        name="viability_is_a_part_of_all_cells",
                    ),
                    models.CheckConstraint(condition=models.Q(("rate_micro__gt", 0)), name="some_cells_are_pitched"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("harvest_from_days", None),
                            ("harvest_until_days", None),
                            ("harvest_from_days__lte", models.F("harvest_until_days")),
                            _connector="OR",
                        ),
                        name="a_harvest_window_leaves_room",
                    ),
                ],
            },
        ),
    ]
