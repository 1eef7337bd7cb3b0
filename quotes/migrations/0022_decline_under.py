from django.db import migrations

import inventory.fields


class Migration(migrations.Migration):
    dependencies = [
        ('quotes', '0021_kinds_of_own_lines'),
    ]

    operations = [
        migrations.AddField(
            model_name='closeout',
            name='decline_under',
            field=inventory.fields.MoneyField(blank=True, null=True),
        ),
    ]
