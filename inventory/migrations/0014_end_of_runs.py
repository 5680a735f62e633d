from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0013_warmths"),
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
                    ("finish_run", "end of a packaging run"),
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
    ]
