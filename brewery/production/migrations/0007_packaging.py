import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


def name_runs_filled_before(apps, schema_editor):
    """A run that was filled was finished by that; now both are said."""
    posting = apps.get_model("inventory", "Posting")
    fill, finish = (apps.get_model("production", name) for name in ("PackagingFill", "RunFinish"))
    rows = posting.objects.filter(event__kind="package", from_location__packaging_run__isnull=False)
    for event, run in rows.order_by("event").values_list("event", "from_location__packaging_run").distinct():
        lot = apps.get_model("inventory", "Lot").objects.get(made_by=event)
        lost = posting.objects.filter(event=event, to_location__kind="loss")
        fill.objects.create(
            event_id=event,
            run_id=run,
            lot=lot,
            count=lot.made_micro // 1_000_000,
            loss_micro=sum(lost.values_list("quantity_micro", flat=True)),
        )
        finish.objects.create(event_id=event, run_id=run)


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0014_end_of_runs"),
        ("kernel", "0003_seals"),
        ("production", "0006_tank_readings"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="PackagingFill",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("count", models.PositiveIntegerField()),
                ("rejects", models.PositiveIntegerField(default=0)),
                ("loss_micro", models.BigIntegerField(default=0)),
                ("line", models.CharField(blank=True, default="", max_length=8)),
                ("began_at", models.DateTimeField(blank=True, null=True)),
                (
                    "event",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="packaging_fill", to="inventory.event"
                    ),
                ),
                (
                    "lot",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="packaging_fill", to="inventory.lot"
                    ),
                ),
                (
                    "run",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="fills", to="production.packagingrun"
                    ),
                ),
            ],
            options={
                "ordering": ("pk",),
            },
        ),
        migrations.CreateModel(
            name="FilledTank",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("left_micro", models.BigIntegerField()),
                ("gauge_start_micro", models.BigIntegerField(blank=True, null=True)),
                ("gauge_end_micro", models.BigIntegerField(blank=True, null=True)),
                (
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inventory.lot"
                    ),
                ),
                (
                    "vessel",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inventory.location"
                    ),
                ),
                (
                    "fill",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="tanks", to="production.packagingfill"
                    ),
                ),
            ],
            options={
                "ordering": ("pk",),
            },
        ),
        migrations.CreateModel(
            name="PackagingRule",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("pattern", models.CharField(max_length=80)),
                ("has_l_prefix", models.BooleanField(default=False)),
                ("life", models.PositiveSmallIntegerField(blank=True, null=True)),
                (
                    "life_in",
                    models.CharField(
                        choices=[("days", "days"), ("months", "months")],
                        default="days",
                        max_length=6,
                    ),
                ),
                ("to_months_end", models.BooleanField(default=False)),
                ("in_force_from", models.DateField()),
                ("set_at", models.DateTimeField()),
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
                        related_name="packaging_rules",
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
                "ordering": ("-in_force_from", "-pk"),
            },
        ),
        migrations.CreateModel(
            name="RetainedSample",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("shelf", models.CharField(blank=True, default="", max_length=40)),
                ("count", models.PositiveIntegerField()),
                ("keep_until", models.DateField()),
                (
                    "event",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="retained_sample",
                        to="inventory.event",
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
                        on_delete=django.db.models.deletion.PROTECT, related_name="retained_samples", to="inventory.lot"
                    ),
                ),
            ],
            options={
                "ordering": ("keep_until", "pk"),
            },
        ),
        migrations.CreateModel(
            name="RunFinish",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "event",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="run_finish", to="inventory.event"
                    ),
                ),
                (
                    "run",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="finishes",
                        to="production.packagingrun",
                    ),
                ),
            ],
            options={
                "ordering": ("pk",),
            },
        ),
        migrations.CreateModel(
            name="SampleDisposal",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "event",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sample_disposal",
                        to="inventory.event",
                    ),
                ),
                (
                    "sample",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="disposals",
                        to="production.retainedsample",
                    ),
                ),
            ],
            options={
                "ordering": ("pk",),
            },
        ),
        migrations.AddConstraint(
            model_name="packagingfill",
            constraint=models.CheckConstraint(condition=models.Q(("count__gt", 0)), name="a_fill_is_of_some"),
        ),
        migrations.AddConstraint(
            model_name="packagingfill",
            constraint=models.CheckConstraint(
                condition=models.Q(("loss_micro__gte", 0)), name="a_fill_loses_no_less_than_nothing"
            ),
        ),
        migrations.AddConstraint(
            model_name="filledtank",
            constraint=models.UniqueConstraint(fields=("fill", "vessel"), name="a_fill_names_a_tank_once"),
        ),
        migrations.AddConstraint(
            model_name="filledtank",
            constraint=models.CheckConstraint(
                condition=models.Q(("left_micro__gt", 0)), name="something_left_the_tank"
            ),
        ),
        migrations.AddConstraint(
            model_name="filledtank",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("gauge_end_micro", None), ("gauge_start_micro", None)),
                    models.Q(("gauge_end_micro__gte", 0), ("gauge_start_micro__gt", models.F("gauge_end_micro"))),
                    _connector="OR",
                ),
                name="gauges_come_in_pairs",
            ),
        ),
        migrations.AddConstraint(
            model_name="packagingrule",
            constraint=models.CheckConstraint(
                condition=models.Q(("life", None), ("life__gt", 0), _connector="OR"), name="a_life_is_some_time"
            ),
        ),
        migrations.AddConstraint(
            model_name="retainedsample",
            constraint=models.CheckConstraint(
                condition=models.Q(("count__gt", 0)), name="a_retained_sample_is_of_some"
            ),
        ),
        migrations.RunPython(name_runs_filled_before, migrations.RunPython.noop),
    ]
