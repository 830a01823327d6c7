from django.db import migrations

from orders.append_only import refuse_changes


class Migration(migrations.Migration):
    dependencies = [("stages", "0001_initial")]

    operations = [refuse_changes("stages_entry")]
