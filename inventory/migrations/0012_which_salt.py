from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0011_customers"),
    ]

    operations = [
        migrations.AddField(
            model_name="material",
            name="salt",
            field=models.CharField(
                blank=True,
                default="",
                help_text="Which brewing salt it is: the formula with its water of crystallisation.",
                max_length=20,
            ),
        ),
        migrations.AddConstraint(
            model_name="material",
            constraint=models.CheckConstraint(
                condition=models.Q(("kind", "salt"), ("salt", ""), _connector="OR"),
                name="only_a_salt_says_which_salt_it_is",
            ),
        ),
    ]
