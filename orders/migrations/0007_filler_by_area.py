"""The filler coat goes by the board's area, in place of a share of the lamination's resin."""

import django.core.validators
from django.db import migrations, models

USUAL_PERCENT, USUAL_GSM = 50, 350


def convert(apps, schema_editor):
    """A shop that pours more than half the lamination pours as much more than the usual g/m2."""
    for shop in apps.get_model("orders", "GlassShop").objects.all():
        gsm = round(float(shop.filler_percent) / USUAL_PERCENT * USUAL_GSM)
        shop.filler_gsm = min(max(gsm, 100), 1000)
        shop.save(update_fields=["filler_gsm"])


class Migration(migrations.Migration):
    dependencies = [("orders", "0006_promises_never_change")]

    operations = [
        migrations.AddField(
            "glassshop",
            "filler_gsm",
            models.PositiveIntegerField(
                default=USUAL_GSM,
                validators=[
                    django.core.validators.MinValueValidator(100),
                    django.core.validators.MaxValueValidator(1000),
                ],
            ),
        ),
        migrations.RunPython(convert, migrations.RunPython.noop),
        migrations.RemoveField("glassshop", "filler_percent"),
        migrations.AlterField(
            "glassshop",
            "resin_ratio",
            models.DecimalField(
                decimal_places=2,
                default=1.3,
                max_digits=3,
                validators=[
                    django.core.validators.MinValueValidator(0.5),
                    django.core.validators.MaxValueValidator(2.5),
                ],
            ),
        ),
    ]
