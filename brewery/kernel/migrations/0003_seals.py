import django.db.models.deletion
from django.db import migrations, models


def _id() -> models.BigAutoField:
    return models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")


class Migration(migrations.Migration):
    dependencies = [("kernel", "0002_jobs")]

    operations = [
        migrations.CreateModel(
            name="Seal",
            fields=[
                ("id", _id()),
                ("digest", models.CharField(max_length=64, unique=True)),
                ("requests", models.PositiveIntegerField()),
                ("rows", models.PositiveIntegerField()),
                ("read_at", models.DateTimeField()),
                ("sealed_at", models.DateTimeField()),
                (
                    "previous",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="next",
                        to="kernel.seal",
                    ),
                ),
            ],
            options={"ordering": ("id",)},
        ),
        migrations.CreateModel(
            name="SealedRequest",
            fields=[
                ("id", _id()),
                ("request", models.UUIDField(unique=True)),
                ("digest", models.CharField(max_length=64)),
                ("rows", models.JSONField()),
                (
                    "seal",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="sealed", to="kernel.seal"
                    ),
                ),
            ],
            options={"ordering": ("seal", "request")},
        ),
        migrations.AddConstraint(
            model_name="seal",
            constraint=models.CheckConstraint(
                condition=models.Q(("previous", None), ("previous__lt", models.F("id")), _connector="OR"),
                name="a_seal_follows_an_older_one",
            ),
        ),
        migrations.AddConstraint(
            model_name="seal",
            constraint=models.UniqueConstraint(
                models.Value(1), condition=models.Q(("previous", None)), name="the_chain_of_seals_begins_once"
            ),
        ),
    ]
