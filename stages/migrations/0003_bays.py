
import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from orders.append_only import refuse_changes


class Migration(migrations.Migration):

    dependencies = [
        ('orders', '0003_board_body'),
        ('stages', '0002_log_is_append_only'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='BayTablet',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('placed_at', models.DateTimeField()),
            ],
        ),
        migrations.RemoveConstraint(
            model_name='entry',
            name='entry_kind_known',
        ),
        migrations.AddField(
            model_name='visit',
            name='helped',
            field=models.JSONField(default=dict, verbose_name='seconds of helping hands, by person'),
        ),
        migrations.AddField(
            model_name='visit',
            name='paid_again',
            field=models.BooleanField(help_text="the manager's word on a repeated step", null=True),
        ),
        migrations.AlterField(
            model_name='entry',
            name='kind',
            field=models.CharField(choices=[('released', 'released'), ('taken', 'taken'), ('paused', 'paused'), ('finished', 'finished'), ('passed', 'passed'), ('sent_back', 'sent back'), ('held', 'held'), ('let_go', 'let go'), ('reissued', 'reissued'), ('promised', 'promised'), ('noted', 'noted'), ('handed_over', 'handed over'), ('cancelled', 'cancelled'), ('undone', 'undone'), ('joined', 'joined'), ('left', 'left'), ('mixed', 'mixed'), ('scrapped', 'scrapped'), ('sent_out', 'sent out'), ('came_back', 'came back'), ('paid_again', 'paid again')], max_length=12),
        ),
        migrations.AlterField(
            model_name='position',
            name='state',
            field=models.CharField(choices=[('waiting', 'waiting'), ('in_hand', 'in hand'), ('resting', 'resting'), ('held', 'held'), ('ready', 'ready'), ('handed_over', 'handed over'), ('cancelled', 'cancelled'), ('away', 'away'), ('scrapped', 'scrapped')], max_length=12),
        ),
        migrations.AddConstraint(
            model_name='entry',
            constraint=models.CheckConstraint(condition=models.Q(('kind__in', ['released', 'taken', 'paused', 'finished', 'passed', 'sent_back', 'held', 'let_go', 'reissued', 'promised', 'noted', 'handed_over', 'cancelled', 'undone', 'joined', 'left', 'mixed', 'scrapped', 'sent_out', 'came_back', 'paid_again'])), name='entry_kind_known'),
        ),
        migrations.AddField(
            model_name='baytablet',
            name='bay',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='tablets', to='stages.bay'),
        ),
        migrations.AddField(
            model_name='baytablet',
            name='placed_by',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='baytablet',
            name='tablet',
            field=models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='placed', to='orders.tablet'),
        ),
        refuse_changes('stages_entry'),
    ]
