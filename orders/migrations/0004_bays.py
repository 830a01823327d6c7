
import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from orders.append_only import refuse_changes


class Migration(migrations.Migration):

    dependencies = [
        ('orders', '0003_board_body'),
    ]

    operations = [
        migrations.AddField(
            model_name='board',
            name='comes_shaped',
            field=models.BooleanField(default=False, help_text='brought here as a shaped blank: it starts at glassing and needs no foam of ours', verbose_name='comes shaped'),
        ),
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
        migrations.AddField(
            model_name='specrevision',
            name='to_confirm',
            field=models.JSONField(blank=True, default=list, verbose_name='still to confirm'),
        ),
        migrations.CreateModel(
            name='ShapedArrival',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveSmallIntegerField(verbose_name='how many came in')),
                ('brought_by', models.CharField(max_length=80, verbose_name='who brought them')),
                ('at', models.DateTimeField()),
                ('noted_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('order', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='arrivals', to='orders.order')),
            ],
            options={
                'ordering': ['at'],
                'constraints': [models.CheckConstraint(condition=models.Q(('number__gte', 1)), name='arrival_of_some')],
            },
        ),
        refuse_changes('orders_specrevision'),
    ]
