
import django.core.validators
import django.db.models.deletion
import orders.specs.models
from django.conf import settings
from django.db import migrations, models

from orders.append_only import refuse_changes


class Migration(migrations.Migration):

    dependencies = [
        ('orders', '0004_bays'),
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
        migrations.CreateModel(
            name='ChangedHours',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('day', models.DateField()),
                ('spans', models.JSONField(blank=True, default=list)),
            ],
            options={
                'ordering': ['day'],
            },
        ),
        migrations.CreateModel(
            name='Clash',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('ref', models.UUIDField(help_text="made on the device; of the log's entry later", unique=True)),
                ('kind', models.CharField(choices=[('released', 'released'), ('taken', 'taken'), ('paused', 'paused'), ('finished', 'finished'), ('passed', 'passed'), ('sent_back', 'sent back'), ('held', 'held'), ('let_go', 'let go'), ('reissued', 'reissued'), ('promised', 'promised'), ('noted', 'noted'), ('handed_over', 'handed over'), ('cancelled', 'cancelled'), ('undone', 'undone'), ('joined', 'joined'), ('left', 'left'), ('mixed', 'mixed'), ('scrapped', 'scrapped'), ('sent_out', 'sent out'), ('came_back', 'came back'), ('paid_again', 'paid again')], max_length=12)),
                ('step', models.PositiveSmallIntegerField(null=True)),
                ('ticket_revision', models.PositiveIntegerField()),
                ('payload', models.JSONField(default=dict)),
                ('happened_at', models.DateTimeField(help_text='by the device, corrected')),
                ('recorded_at', models.DateTimeField(help_text='when it reached the server')),
                ('device', models.CharField(blank=True, max_length=60)),
                ('code', models.CharField(help_text='of the guard that stopped it', max_length=20)),
                ('sentence', models.CharField(max_length=300)),
                ('settled_at', models.DateTimeField(blank=True, null=True)),
                ('choice', models.CharField(blank=True, choices=[('note', 'kept as a note'), ('log', 'logged after all'), ('drop', 'dropped: it did not happen')], max_length=5)),
            ],
            options={
                'ordering': ['recorded_at', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='ClosedDays',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('first', models.DateField()),
                ('last', models.DateField()),
                ('why', models.CharField(max_length=80)),
            ],
            options={
                'ordering': ['first', 'last'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='DaysOff',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('first', models.DateField()),
                ('last', models.DateField()),
            ],
            options={
                'ordering': ['first', 'last'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='DefectKind',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=60, unique=True)),
                ('order', models.PositiveSmallIntegerField(default=0, verbose_name='place in the list')),
                ('retired', models.BooleanField(default=False, verbose_name='not offered any more')),
            ],
            options={
                'ordering': ['order', 'name'],
            },
        ),
        migrations.CreateModel(
            name='Manifest',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveIntegerField(unique=True)),
                ('code', models.CharField(max_length=8, unique=True)),
                ('due_on', models.DateField(verbose_name='due back')),
                ('note', models.CharField(blank=True, max_length=300, verbose_name='note for the shop')),
                ('made_at', models.DateTimeField()),
                ('sent_at', models.DateTimeField(blank=True, null=True)),
                ('dropped_at', models.DateTimeField(blank=True, null=True, verbose_name='torn up, nothing sent')),
            ],
            options={
                'ordering': ['-number'],
            },
        ),
        migrations.CreateModel(
            name='ManifestBoard',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('order', models.PositiveSmallIntegerField()),
            ],
            options={
                'ordering': ['order'],
            },
        ),
        migrations.CreateModel(
            name='Photo',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('ref', models.UUIDField(help_text='made on the device, so once means once', unique=True)),
                ('step', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('kind', models.CharField(choices=[('work', 'the board'), ('defect', 'what is wrong')], default='work', max_length=6, verbose_name='shows')),
                ('taken_at', models.DateTimeField(help_text='by the device')),
                ('received_at', models.DateTimeField(help_text='by the server')),
                ('for_rider', models.BooleanField(default=False, verbose_name='shown to the rider')),
                ('width', models.PositiveSmallIntegerField()),
                ('height', models.PositiveSmallIntegerField()),
            ],
            options={
                'ordering': ['taken_at', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='PublicHolidays',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('country', models.CharField(blank=True, max_length=2)),
                ('region', models.CharField(blank=True, max_length=40)),
            ],
        ),
        migrations.CreateModel(
            name='QualityRules',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('sheet', models.BooleanField(default=True, verbose_name='a QC sheet is filled in before a board passes')),
                ('name_hands', models.BooleanField(default=False, verbose_name="the board's record names the hands")),
                ('length_nm', orders.specs.models.LengthField(default=6350000, validators=[django.core.validators.MinValueValidator(396875), django.core.validators.MaxValueValidator(101600000)], verbose_name='length')),
                ('width_nm', orders.specs.models.LengthField(default=3175000, validators=[django.core.validators.MinValueValidator(396875), django.core.validators.MaxValueValidator(101600000)], verbose_name='widths')),
                ('thickness_nm', orders.specs.models.LengthField(default=1587500, validators=[django.core.validators.MinValueValidator(396875), django.core.validators.MaxValueValidator(101600000)], verbose_name='thickness')),
                ('place_nm', orders.specs.models.LengthField(default=12700000, validators=[django.core.validators.MinValueValidator(396875), django.core.validators.MaxValueValidator(101600000)], verbose_name='wide point')),
                ('rocker_nm', orders.specs.models.LengthField(default=3175000, validators=[django.core.validators.MinValueValidator(396875), django.core.validators.MaxValueValidator(101600000)], verbose_name='rocker')),
                ('fin_nm', orders.specs.models.LengthField(default=3175000, validators=[django.core.validators.MinValueValidator(396875), django.core.validators.MaxValueValidator(101600000)], verbose_name='fins and plug')),
                ('even_nm', orders.specs.models.LengthField(default=1587500, validators=[django.core.validators.MinValueValidator(396875), django.core.validators.MaxValueValidator(101600000)], verbose_name='fins, left against right')),
                ('mass_percent', models.PositiveSmallIntegerField(default=10, validators=[django.core.validators.MaxValueValidator(100)], verbose_name='mass, %')),
                ('changed_at', models.DateTimeField(editable=False, null=True)),
            ],
        ),
        migrations.RemoveConstraint(
            model_name='entry',
            name='entry_kind_known',
        ),
        migrations.AddField(
            model_name='bay',
            name='address',
            field=models.TextField(blank=True, help_text='printed on its manifests', max_length=300, verbose_name='address and phone'),
        ),
        migrations.AddField(
            model_name='stage',
            name='one_at_a_time',
            field=models.BooleanField(default=False, verbose_name="one board at a time in a person's hands"),
        ),
        migrations.AddField(
            model_name='stage',
            name='rest_celsius',
            field=models.PositiveSmallIntegerField(default=20, help_text='C; a colder bay rests longer', validators=[django.core.validators.MinValueValidator(10), django.core.validators.MaxValueValidator(40)], verbose_name='rest hours hold at'),
        ),
        migrations.AddField(
            model_name='stage',
            name='rest_shortens',
            field=models.BooleanField(default=False, verbose_name='a warmer bay may rest shorter'),
        ),
        migrations.AddField(
            model_name='visit',
            name='helped',
            field=models.JSONField(blank=True, default=dict, verbose_name='seconds of helping hands, by person'),
        ),
        migrations.AddField(
            model_name='visit',
            name='paid_again',
            field=models.BooleanField(blank=True, help_text="the manager's word on a repeated step", null=True),
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
        migrations.AddIndex(
            model_name='entry',
            index=models.Index(condition=models.Q(('kind', 'mixed')), fields=['recorded_at'], name='entry_mixed'),
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
        migrations.AddField(
            model_name='changedhours',
            name='member',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='changed_hours', to='stages.crewmember'),
        ),
        migrations.AddField(
            model_name='clash',
            name='against',
            field=models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='stages.entry'),
        ),
        migrations.AddField(
            model_name='clash',
            name='board',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='clashes', to='orders.board'),
        ),
        migrations.AddField(
            model_name='clash',
            name='by',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='clash',
            name='settled_by',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddConstraint(
            model_name='closeddays',
            constraint=models.CheckConstraint(condition=models.Q(('last__gte', models.F('first'))), name='closeddays_ends_after_start'),
        ),
        migrations.AddField(
            model_name='daysoff',
            name='member',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='days_off', to='stages.crewmember'),
        ),
        migrations.AddField(
            model_name='manifest',
            name='bay',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='manifests', to='stages.bay'),
        ),
        migrations.AddField(
            model_name='manifest',
            name='made_by',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='manifestboard',
            name='board',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='orders.board'),
        ),
        migrations.AddField(
            model_name='manifestboard',
            name='manifest',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='lines', to='stages.manifest'),
        ),
        migrations.AddField(
            model_name='manifest',
            name='boards',
            field=models.ManyToManyField(related_name='manifests', through='stages.ManifestBoard', to='orders.board'),
        ),
        migrations.AddField(
            model_name='photo',
            name='board',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='photos', to='orders.board'),
        ),
        migrations.AddField(
            model_name='photo',
            name='by',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='photo',
            name='stage',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='stages.stage'),
        ),
        migrations.AddConstraint(
            model_name='publicholidays',
            constraint=models.CheckConstraint(condition=models.Q(('pk', 1)), name='public_holidays_is_one_row'),
        ),
        migrations.AddField(
            model_name='qualityrules',
            name='changed_by',
            field=models.ForeignKey(editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddConstraint(
            model_name='changedhours',
            constraint=models.UniqueConstraint(fields=('member', 'day'), name='changed_hours_once_a_day'),
        ),
        migrations.AddIndex(
            model_name='clash',
            index=models.Index(condition=models.Q(('settled_at', None)), fields=['board'], name='clash_open'),
        ),
        migrations.AddConstraint(
            model_name='clash',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('choice', ''), ('settled_at', None), ('settled_by', None)), models.Q(('settled_at__isnull', False), ('settled_by__isnull', False), ('choice__in', ['note', 'log', 'drop'])), _connector='OR'), name='clash_settled_by_one_choice'),
        ),
        migrations.AddConstraint(
            model_name='daysoff',
            constraint=models.CheckConstraint(condition=models.Q(('last__gte', models.F('first'))), name='daysoff_ends_after_start'),
        ),
        migrations.AddConstraint(
            model_name='manifestboard',
            constraint=models.UniqueConstraint(fields=('manifest', 'board'), name='board_once_a_manifest'),
        ),
        migrations.AddConstraint(
            model_name='photo',
            constraint=models.CheckConstraint(condition=models.Q(('kind__in', ['work', 'defect'])), name='photo_shows_known'),
        ),
        migrations.AddConstraint(
            model_name='qualityrules',
            constraint=models.CheckConstraint(condition=models.Q(('pk', 1)), name='quality_rules_are_one_row'),
        ),
        refuse_changes('stages_entry'),
    ]
