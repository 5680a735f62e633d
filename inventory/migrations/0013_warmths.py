import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0012_which_salt"),
        ("kernel", "0003_seals"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AlterField(
            model_name="location",
            name="nominal_milli_c",
            field=models.IntegerField(
                blank=True,
                help_text="How warm it was kept when it was entered, in thousandths of a degree Celsius.",
                null=True,
            ),
        ),
        migrations.CreateModel(
            name="Warmth",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("since", models.DateTimeField()),
                ("milli_c", models.IntegerField(blank=True, null=True)),
                ("recorded_at", models.DateTimeField()),
                (
                    "actor",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "location",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="warmths", to="inventory.location"
                    ),
                ),
                (
                    "request",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="kernel.request"
                    ),
                ),
            ],
            options={"ordering": ("location", "since", "pk")},
        ),
    ]
