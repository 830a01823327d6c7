from django.db import migrations

from orders.append_only import refuse_changes


class Migration(migrations.Migration):
    dependencies = [("orders", "0001_initial")]

    operations = [refuse_changes("orders_specrevision")]
