from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("production", "0004_dispatch")]

    operations = [
        migrations.RemoveConstraint(
            model_name="brewsheet",
            name="a_sheet_in_use_says_since_when",
        ),
        migrations.AlterField(
            model_name="brewsheet",
            name="state",
            field=models.CharField(
                choices=[
                    ("draft", "draft"),
                    ("in_use", "in use"),
                    ("withdrawn", "withdrawn"),
                    ("discarded", "discarded"),
                ],
                default="draft",
                max_length=10,
            ),
        ),
        migrations.AddConstraint(
            model_name="brewsheet",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("put_in_use_at", None), ("state__in", ["draft", "discarded"])),
                    models.Q(("put_in_use_at__isnull", False), ("state__in", ["in_use", "withdrawn"])),
                    _connector="OR",
                ),
                name="a_sheet_in_use_says_since_when",
            ),
        ),
    ]
