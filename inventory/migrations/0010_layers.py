import django.db.models.deletion
from django.db import migrations, models


def _key(to: str, name: str) -> models.ForeignKey:
    return models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name=name, to=to)


class Migration(migrations.Migration):
    dependencies = [("inventory", "0009_unmeasured_residue")]

    operations = [
        migrations.AddField(
            model_name="location",
            name="band_micro",
            field=models.BigIntegerField(
                blank=True,
                help_text="Where two layers of a silo meet, how much may hold some of both, in mg.",
                null=True,
            ),
        ),
        migrations.AddConstraint(
            model_name="location",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("band_micro", None), models.Q(("band_micro__gt", 0), ("filling", "layered")), _connector="OR"
                ),
                name="only_layered_silos_have_a_band",
            ),
        ),
        migrations.CreateModel(
            name="Contact",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("event", _key("inventory.event", "contacts")),
                ("lot", _key("inventory.lot", "contacts")),
                ("neighbour", _key("inventory.lot", "+")),
                ("to_location", _key("inventory.location", "+")),
            ],
            options={"ordering": ("id",)},
        ),
        migrations.AddConstraint(
            model_name="contact",
            constraint=models.UniqueConstraint(
                fields=("event", "lot", "neighbour", "to_location"), name="a_contact_is_told_once_an_event"
            ),
        ),
        migrations.AddConstraint(
            model_name="contact",
            constraint=models.CheckConstraint(
                condition=models.Q(("lot", models.F("neighbour")), _negated=True),
                name="a_lot_meets_another_than_itself",
            ),
        ),
    ]
