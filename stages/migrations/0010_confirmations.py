import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models
from django.utils import timezone


def confirm_factories_at_work(apps, schema_editor):
    """A factory with boards on its floor has said what it is: it is not asked again."""
    if not apps.get_model("stages", "Entry").objects.exists():
        return
    confirmation = apps.get_model("stages", "Confirmation")
    for setting in ("factory", "stages"):
        confirmation.objects.create(setting=setting, at=timezone.now())


class Migration(migrations.Migration):

    dependencies = [
        ('stages', '0009_clash_counted_as_done'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='Confirmation',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('setting', models.CharField(choices=[('factory', 'clock, money and units'), ('stages', 'stages')], max_length=10, unique=True)),
                ('at', models.DateTimeField()),
                ('by', models.ForeignKey(editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('setting__in', ['factory', 'stages'])), name='confirmed_setting_known')],
            },
        ),
        migrations.RunPython(confirm_factories_at_work, migrations.RunPython.noop),
    ]
