from django.db import migrations, models
from django.db.models import Q


class Migration(migrations.Migration):
    dependencies = [("inventory", "0008_places_and_papers")]

    operations = [
        migrations.RemoveConstraint(model_name="link", name="all_links_but_culture_carry_a_quantity"),
        migrations.AddConstraint(
            model_name="link",
            constraint=models.CheckConstraint(
                condition=Q(kind=1, quantity_micro__gt=0)
                | Q(kind=2, quantity_micro=0)
                | Q(kind=3, quantity_micro__gte=0),
                name="an_ingredient_carries_a_quantity_and_a_culture_none",
            ),
        ),
    ]
