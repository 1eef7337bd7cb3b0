"""Labels and help texts in plain words; nothing stored changes."""

import django.core.validators
import inventory.fields
from decimal import Decimal
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('shop', '0017_the_queue'),
    ]

    operations = [
        migrations.AlterField(
            model_name='build',
            name='is_set_aside',
            field=models.BooleanField(default=False, help_text='Visible, but left out of estimates.'),
        ),
        migrations.AlterField(
            model_name='build',
            name='made_on',
            field=models.DateField(help_text='The day it was created.'),
        ),
        migrations.AlterField(
            model_name='build',
            name='state',
            field=models.CharField(choices=[('planned', 'planned'), ('under_way', 'in progress'), ('finished', 'done'), ('closed', 'closed out'), ('cancelled', 'cancelled')], default='planned', max_length=10),
        ),
        migrations.AlterField(
            model_name='buildline',
            name='to_draw',
            field=inventory.fields.QuantityField(help_text='With waste, in base units: what is reserved.'),
        ),
        migrations.AlterField(
            model_name='buildtemplate',
            name='made_before',
            field=models.PositiveSmallIntegerField(default=0, help_text='Number made before you used Gramil.'),
        ),
        migrations.AlterField(
            model_name='buildtemplate',
            name='note_to_self',
            field=models.TextField(blank=True, help_text='Shown when you make the next quote.'),
        ),
        migrations.AlterField(
            model_name='estimatesettings',
            name='batch_doubt',
            field=models.DecimalField(decimal_places=2, default=Decimal('0.5'), max_digits=3, validators=[django.core.validators.MinValueValidator(Decimal('0.01'))], verbose_name='uncertainty of a batch’s saving'),
        ),
        migrations.AlterField(
            model_name='estimatesettings',
            name='common_share',
            field=models.DecimalField(decimal_places=2, default=Decimal('0.3'), max_digits=3, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(Decimal('0.95'))], verbose_name='shared deviation, until past builds show it'),
        ),
        migrations.AlterField(
            model_name='estimatesettings',
            name='common_worth',
            field=models.DecimalField(decimal_places=1, default=Decimal('3'), max_digits=4, validators=[django.core.validators.MinValueValidator(Decimal('0.1'))], verbose_name='weight of the shared deviation, in past builds'),
        ),
        migrations.AlterField(
            model_name='estimatesettings',
            name='half_life_years',
            field=models.DecimalField(blank=True, decimal_places=1, default=Decimal('6'), help_text='Leave empty to ignore age.', max_digits=4, null=True, validators=[django.core.validators.MinValueValidator(Decimal('0.1'))], verbose_name='years until a past build has half weight'),
        ),
        migrations.AlterField(
            model_name='estimatesettings',
            name='high_percentile',
            field=models.PositiveSmallIntegerField(default=90, validators=[django.core.validators.MinValueValidator(51), django.core.validators.MaxValueValidator(99)], verbose_name='high: percent of builds that take less'),
        ),
        migrations.AlterField(
            model_name='estimatesettings',
            name='learning_doubt',
            field=models.DecimalField(decimal_places=2, default=Decimal('0.1'), max_digits=3, validators=[django.core.validators.MinValueValidator(Decimal('0.01'))], verbose_name='uncertainty of learning'),
        ),
        migrations.AlterField(
            model_name='estimatesettings',
            name='least_each_side',
            field=models.PositiveSmallIntegerField(default=3, validators=[django.core.validators.MinValueValidator(1)], verbose_name='builds needed with and without an option or batch to measure its effect'),
        ),
        migrations.AlterField(
            model_name='estimatesettings',
            name='likely_is',
            field=models.CharField(choices=[('median', 'the median: half of builds take less'), ('mode', 'the most frequent figure')], default='median', max_length=6, verbose_name='likely is'),
        ),
        migrations.AlterField(
            model_name='estimatesettings',
            name='low_percentile',
            field=models.PositiveSmallIntegerField(default=10, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(49)], verbose_name='low: percent of builds that take less'),
        ),
        migrations.AlterField(
            model_name='estimatesettings',
            name='option_doubt',
            field=models.DecimalField(decimal_places=2, default=Decimal('0.2'), max_digits=3, validators=[django.core.validators.MinValueValidator(Decimal('0.01'))], verbose_name='uncertainty of an option’s hours'),
        ),
        migrations.AlterField(
            model_name='estimatesettings',
            name='settled_number',
            field=models.PositiveSmallIntegerField(default=10, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(1000)], verbose_name='build number at which learning ends'),
        ),
        migrations.AlterField(
            model_name='estimatesettings',
            name='spread_worth',
            field=models.DecimalField(decimal_places=1, default=Decimal('6'), max_digits=4, validators=[django.core.validators.MinValueValidator(Decimal('2.1'))], verbose_name='weight of the spread, in past builds'),
        ),
        migrations.AlterField(
            model_name='estimatesettings',
            name='worth',
            field=models.DecimalField(decimal_places=1, default=Decimal('2'), max_digits=4, validators=[django.core.validators.MinValueValidator(Decimal('0.1'))], verbose_name='weight of the likely hours, in past builds'),
        ),
        migrations.AlterField(
            model_name='relatedtemplate',
            name='factor',
            field=models.DecimalField(decimal_places=2, default=Decimal('1'), help_text='Its hours compared with this template: 1.2 for a larger instrument.', max_digits=4, validators=[django.core.validators.MinValueValidator(Decimal('0.05'))]),
        ),
        migrations.AlterField(
            model_name='relatedtemplate',
            name='weight',
            field=models.DecimalField(decimal_places=2, default=Decimal('0.5'), help_text='Weight of its builds in this template.', max_digits=3, validators=[django.core.validators.MinValueValidator(Decimal('0.01')), django.core.validators.MaxValueValidator(1)]),
        ),
        migrations.AlterField(
            model_name='stagealias',
            name='use',
            field=models.CharField(choices=[('stage', 'a stage of the template'), ('own', 'keep it as a stage of its own'), ('out', 'left out')], default='stage', max_length=5),
        ),
        migrations.AlterField(
            model_name='stagealias',
            name='written',
            field=models.CharField(help_text='In lower case, as compared.', max_length=120),
        ),
        migrations.AlterField(
            model_name='templateline',
            name='waste_rule',
            field=models.CharField(choices=[('none', 'none'), ('whole', 'whole units, some rejected'), ('percent', 'length or area plus a percentage'), ('cutting', 'cut from stock, with kerf and remnant'), ('share', 'share of a pack'), ('spares', 'count plus spares')], default='none', max_length=7),
        ),
        migrations.AlterField(
            model_name='templateline',
            name='wood',
            field=models.CharField(blank=True, help_text='A species or kind, such as Sitka spruce, or maple, sycamore. Empty for any.', max_length=120),
        ),
        migrations.AlterField(
            model_name='templateoption',
            name='is_on',
            field=models.BooleanField(default=False, verbose_name='on by default'),
        ),
        migrations.AlterField(
            model_name='templateoption',
            name='one_of',
            field=models.CharField(blank=True, help_text='Group of alternatives; empty if it stands alone.', max_length=80),
        ),
        migrations.AlterField(
            model_name='templatestage',
            name='saving_four',
            field=models.DecimalField(decimal_places=3, default=Decimal('0'), max_digits=4, verbose_name='saving per instrument, batch of four'),
        ),
        migrations.AlterField(
            model_name='templatestage',
            name='saving_two',
            field=models.DecimalField(decimal_places=3, default=Decimal('0'), max_digits=4, verbose_name='saving per instrument, batch of two'),
        ),
        migrations.AlterField(
            model_name='timeentry',
            name='day',
            field=models.DateField(db_index=True, help_text="In the workshop's time zone."),
        ),
        migrations.AlterField(
            model_name='timeentry',
            name='is_remake',
            field=models.BooleanField(default=False, help_text='Rework: something made a second time.', verbose_name='rework'),
        ),
        migrations.AlterField(
            model_name='timeentry',
            name='reason',
            field=models.CharField(blank=True, help_text='Reason not billable.', max_length=80),
        ),
        migrations.AlterConstraint(
            model_name='templatefailure',
            name='template_failure_one_in_two_at_most',
            constraint=models.CheckConstraint(condition=models.Q(('one_in__gte', 2)), name='template_failure_one_in_two_at_most', violation_error_message='One build in 2 is the most you can enter.'),
        ),
        migrations.AlterConstraint(
            model_name='templatestage',
            name='stage_hours_in_order',
            constraint=models.CheckConstraint(condition=models.Q(('hours_high__gte', models.F('hours_likely')), ('hours_likely__gte', models.F('hours_low')), ('hours_low__gte', 0)), name='stage_hours_in_order', violation_error_message='Hours must rise from low to likely to high.'),
        ),
    ]
