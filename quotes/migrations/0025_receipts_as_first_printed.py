from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('quotes', '0024_changes_paid_ahead'),
    ]

    operations = [
        migrations.AddField(
            model_name='payment',
            name='frozen',
            field=models.JSONField(editable=False, help_text='Its receipt, as first printed.', null=True),
        ),
    ]
