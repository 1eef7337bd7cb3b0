"""Labels and help texts in plain words; nothing stored changes."""

from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('quotes', '0034_costs_of_lines'),
    ]

    operations = [
        migrations.AlterField(
            model_name='quotematerial',
            name='waste_rule',
            field=models.CharField(choices=[('none', 'none'), ('whole', 'whole units, some rejected'), ('percent', 'length or area plus a percentage'), ('cutting', 'cut from stock, with kerf and remnant'), ('share', 'share of a pack'), ('spares', 'count plus spares')], default='none', max_length=7),
        ),
    ]
