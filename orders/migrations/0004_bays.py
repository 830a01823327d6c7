
import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('orders', '0003_board_body'),
    ]

    operations = [
        migrations.AddField(
            model_name='board',
            name='first_in_line',
            field=models.BooleanField(default=False, verbose_name='before all others in every bay'),
        ),
        migrations.AddField(
            model_name='board',
            name='remake_of',
            field=models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='remade_as', to='orders.board'),
        ),
    ]
