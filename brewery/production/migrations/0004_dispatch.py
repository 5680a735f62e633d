import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0011_customers"),
        ("kernel", "0002_jobs"),
        ("production", "0003_liquor_of_sheets"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="CustomerOrder",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("number", models.CharField(max_length=40, unique=True)),
                ("customer_reference", models.CharField(blank=True, default="", max_length=60)),
                ("wanted_on", models.DateField()),
                ("deliver_to", models.CharField(blank=True, default="", max_length=200)),
                ("note", models.CharField(blank=True, default="", max_length=200)),
                ("called_off_because", models.CharField(blank=True, default="", max_length=200)),
                ("revision", models.PositiveIntegerField(default=1)),
                ("entered_at", models.DateTimeField()),
                (
                    "customer",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="customer_orders",
                        to="inventory.party",
                    ),
                ),
                (
                    "entered_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
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
                "ordering": ("wanted_on", "number"),
            },
        ),
        migrations.CreateModel(
            name="CustomerOrderLine",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField()),
                ("count", models.PositiveIntegerField()),
                (
                    "material",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="customer_order_lines",
                        to="inventory.material",
                    ),
                ),
                (
                    "order",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="lines", to="production.customerorder"
                    ),
                ),
            ],
            options={
                "ordering": ("order", "position"),
            },
        ),
        migrations.CreateModel(
            name="CustomerReturn",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "cause",
                    models.CharField(
                        choices=[
                            ("unsold", "not sold"),
                            ("part_empty", "ullage: part-empty"),
                            ("damaged", "damaged"),
                            ("taste", "taste or smell"),
                            ("foreign_matter", "foreign matter"),
                            ("out_of_date", "past its best-before day"),
                            ("wrong_goods", "wrong goods or too many"),
                            ("recalled", "recalled"),
                            ("other", "other"),
                        ],
                        max_length=16,
                    ),
                ),
                (
                    "event",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="customer_return",
                        to="inventory.event",
                    ),
                ),
            ],
            options={
                "ordering": ("-pk",),
            },
        ),
        migrations.CreateModel(
            name="ReturnOutcome",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("restock", "back in stock"),
                            ("destroy", "destroyed"),
                            ("rework", "tipped back into a tank"),
                        ],
                        max_length=8,
                    ),
                ),
                ("count", models.PositiveIntegerField()),
                ("beer_micro", models.BigIntegerField(blank=True, null=True)),
                (
                    "customer_return",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="outcomes",
                        to="production.customerreturn",
                    ),
                ),
                (
                    "event",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="return_outcome", to="inventory.event"
                    ),
                ),
                (
                    "location",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inventory.location"
                    ),
                ),
                (
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="return_outcomes", to="inventory.lot"
                    ),
                ),
            ],
            options={
                "ordering": ("pk",),
            },
        ),
        migrations.CreateModel(
            name="Shipment",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("note_number", models.CharField(max_length=60)),
                ("carrier", models.CharField(blank=True, default="", max_length=80)),
                ("vehicle", models.CharField(blank=True, default="", max_length=40)),
                ("driver", models.CharField(blank=True, default="", max_length=80)),
                ("seal", models.CharField(blank=True, default="", max_length=40)),
                ("short_life_reason", models.CharField(blank=True, default="", max_length=200)),
                (
                    "event",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="shipment", to="inventory.event"
                    ),
                ),
                (
                    "order",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="shipments",
                        to="production.customerorder",
                    ),
                ),
            ],
            options={
                "ordering": ("pk",),
            },
        ),
        migrations.CreateModel(
            name="Pick",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("count", models.PositiveIntegerField()),
                ("more_because", models.CharField(blank=True, default="", max_length=200)),
                ("short_life_reason", models.CharField(blank=True, default="", max_length=200)),
                ("picked_at", models.DateTimeField()),
                ("put_back_at", models.DateTimeField(blank=True, null=True)),
                (
                    "actor",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="picks", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "line",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="picks",
                        to="production.customerorderline",
                    ),
                ),
                (
                    "location",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="picks", to="inventory.location"
                    ),
                ),
                (
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="picks", to="inventory.lot"
                    ),
                ),
                (
                    "request",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="kernel.request"
                    ),
                ),
                (
                    "shipment",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="picks",
                        to="production.shipment",
                    ),
                ),
            ],
            options={
                "ordering": ("pk",),
            },
        ),
        migrations.AddConstraint(
            model_name="customerorderline",
            constraint=models.UniqueConstraint(fields=("order", "material"), name="one_line_of_an_order_a_material"),
        ),
        migrations.AddConstraint(
            model_name="customerorderline",
            constraint=models.CheckConstraint(
                condition=models.Q(("count__gt", 0)), name="a_line_of_an_order_asks_for_some"
            ),
        ),
        migrations.AddConstraint(
            model_name="returnoutcome",
            constraint=models.CheckConstraint(condition=models.Q(("count__gt", 0)), name="an_outcome_is_of_some"),
        ),
        migrations.AddConstraint(
            model_name="returnoutcome",
            constraint=models.CheckConstraint(
                condition=models.Q(("beer_micro", None), ("beer_micro__gte", 0), _connector="OR"),
                name="the_beer_in_them_is_measured",
            ),
        ),
        migrations.AddConstraint(
            model_name="shipment",
            constraint=models.UniqueConstraint(
                condition=models.Q(("order__isnull", False)),
                fields=("note_number",),
                name="a_delivery_note_number_is_given_once",
            ),
        ),
        migrations.AddConstraint(
            model_name="pick",
            constraint=models.CheckConstraint(condition=models.Q(("count__gt", 0)), name="a_pick_takes_some"),
        ),
        migrations.AddConstraint(
            model_name="pick",
            constraint=models.CheckConstraint(
                condition=models.Q(("put_back_at", None), ("shipment", None), _connector="OR"),
                name="a_pick_is_put_back_or_shipped",
            ),
        ),
        migrations.AddConstraint(
            model_name="pick",
            constraint=models.CheckConstraint(
                condition=models.Q(("put_back_at", None), ("put_back_at__gte", models.F("picked_at")), _connector="OR"),
                name="a_pick_is_put_back_after_it_was_made",
            ),
        ),
    ]
