import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0010_layers"),
        ("kernel", "0002_jobs"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AlterField(
            model_name="event",
            name="kind",
            field=models.CharField(
                choices=[
                    ("receive", "receive"),
                    ("refill", "refill of a silo"),
                    ("move", "move"),
                    ("draw", "draw"),
                    ("return_to_stock", "return to stock"),
                    ("knock_out", "knock out"),
                    ("pitch", "pitch"),
                    ("transfer", "transfer"),
                    ("kraeusen", "kraeusen"),
                    ("blend", "blend"),
                    ("add", "addition to a tank"),
                    ("harvest", "yeast harvest"),
                    ("filter", "filtration"),
                    ("package", "packaging"),
                    ("ship", "shipment"),
                    ("take_back", "return from a customer"),
                    ("rework", "rework of packaged beer"),
                    ("count", "count or gauge"),
                    ("destroy", "destruction"),
                    ("send_back", "return to the supplier"),
                    ("sample", "sample"),
                    ("reverse", "reversal"),
                ],
                max_length=16,
            ),
        ),
        migrations.CreateModel(
            name="MinimumLife",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("days", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("told_at", models.DateTimeField()),
                (
                    "actor",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "material",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="inventory.material",
                    ),
                ),
                (
                    "party",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="minimum_lives", to="inventory.party"
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
                "ordering": ("pk",),
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("days", None), ("days__lt", 3653), _connector="OR"),
                        name="a_minimum_life_is_under_ten_years",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="PartyContact",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=120)),
                ("role", models.CharField(blank=True, default="", max_length=80)),
                ("phone", models.CharField(blank=True, default="", max_length=40)),
                ("email", models.EmailField(blank=True, default="", max_length=120)),
                ("is_reachable_at_night", models.BooleanField(default=False)),
                ("note", models.CharField(blank=True, default="", max_length=200)),
                ("is_ended", models.BooleanField(default=False)),
                ("told_at", models.DateTimeField()),
                (
                    "actor",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "party",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="contacts", to="inventory.party"
                    ),
                ),
                (
                    "replaces",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="replaced_by",
                        to="inventory.partycontact",
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
                "ordering": ("party", "name", "pk"),
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("is_ended", True),
                            models.Q(("phone", ""), _negated=True),
                            models.Q(("email", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="a_contact_can_be_reached",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("is_ended", False), ("replaces__isnull", False), _connector="OR"),
                        name="only_a_contact_that_was_there_ends",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("replaces", None), ("replaces__lt", models.F("id")), _connector="OR"),
                        name="a_contact_replaces_an_earlier_one",
                    ),
                ],
            },
        ),
    ]
