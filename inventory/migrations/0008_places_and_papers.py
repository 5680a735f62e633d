import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0007_count_finds")]

    operations = [
        migrations.AddField(
            model_name="location",
            name="nominal_milli_c",
            field=models.IntegerField(
                blank=True,
                help_text="How warm it is kept, in thousandths of a degree Celsius, where that is known.",
                null=True,
            ),
        ),
        migrations.RemoveConstraint(model_name="attachment", name="an_attachment_belongs_to_one_thing"),
        migrations.AddField(
            model_name="attachment",
            name="location",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="attachments",
                to="inventory.location",
            ),
        ),
        migrations.AddConstraint(
            model_name="attachment",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("certificate", None), ("delivery__isnull", False), ("location", None)),
                    models.Q(("certificate__isnull", False), ("delivery", None), ("location", None)),
                    models.Q(("certificate", None), ("delivery", None), ("location__isnull", False)),
                    _connector="OR",
                ),
                name="an_attachment_belongs_to_one_thing",
            ),
        ),
    ]
