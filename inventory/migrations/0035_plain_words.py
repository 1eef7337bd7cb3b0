"""Labels and help texts in plain words; nothing stored changes."""

import django.core.validators
import django.db.models.deletion
import inventory.fields
from decimal import Decimal
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('inventory', '0034_entries_by_any_holder'),
    ]

    operations = [
        migrations.AlterField(
            model_name='count',
            name='is_blind',
            field=models.BooleanField(default=False, help_text='Hide the recorded quantities.'),
        ),
        migrations.AlterField(
            model_name='countline',
            name='reason',
            field=models.CharField(blank=True, choices=[('broken', 'broken'), ('unrecorded', 'used without a record'), ('given', 'given away'), ('miscounted', 'counted wrongly before'), ('found', 'found again'), ('unknown', 'not known')], max_length=10),
        ),
        migrations.AlterField(
            model_name='delivery',
            name='currency',
            field=models.CharField(blank=True, help_text="ISO 4217 code; empty for the workshop's currency.", max_length=3),
        ),
        migrations.AlterField(
            model_name='delivery',
            name='rate',
            field=models.DecimalField(blank=True, decimal_places=8, help_text="Foreign currency to one of the workshop's own.", max_digits=18, null=True),
        ),
        migrations.AlterField(
            model_name='delivery',
            name='reference',
            field=models.CharField(blank=True, help_text="The supplier's invoice number.", max_length=60),
        ),
        migrations.AlterField(
            model_name='delivery',
            name='tax',
            field=inventory.fields.MoneyField(default=Decimal('0'), help_text='Not part of the cost.', verbose_name='tax that can be reclaimed'),
        ),
        migrations.AlterField(
            model_name='material',
            name='cost_method',
            field=models.CharField(choices=[('actual', 'own cost (pieces)'), ('fifo', 'first in, first out'), ('average', 'moving average')], default='fifo', max_length=7),
        ),
        migrations.AlterField(
            model_name='material',
            name='kept_as',
            field=models.CharField(choices=[('piece', 'piece: each with its own number'), ('length', 'length'), ('count', 'count'), ('volume', 'measure: volume'), ('mass', 'measure: mass'), ('area', 'area')], max_length=6),
        ),
        migrations.AlterField(
            model_name='material',
            name='open_days',
            field=models.PositiveSmallIntegerField(blank=True, null=True, verbose_name='shelf life once opened, days'),
        ),
        migrations.AlterField(
            model_name='material',
            name='pack',
            field=inventory.fields.QuantityField(blank=True, null=True, verbose_name='pack size'),
        ),
        migrations.AlterField(
            model_name='material',
            name='realisable_price',
            field=models.DecimalField(blank=True, decimal_places=4, help_text='What one unit would sell for today.', max_digits=14, null=True, validators=[django.core.validators.MinValueValidator(0)]),
        ),
        migrations.AlterField(
            model_name='material',
            name='replacement_price',
            field=models.DecimalField(blank=True, decimal_places=4, help_text='What it costs to buy today, per unit as shown, landed.', max_digits=14, null=True, validators=[django.core.validators.MinValueValidator(0)]),
        ),
        migrations.AlterField(
            model_name='material',
            name='shelf_days',
            field=models.PositiveSmallIntegerField(blank=True, null=True, verbose_name='shelf life unopened, days'),
        ),
        migrations.AlterField(
            model_name='material',
            name='unit',
            field=models.CharField(help_text='The unit you enter and see.', max_length=4),
        ),
        migrations.AlterField(
            model_name='meter',
            name='offset',
            field=inventory.fields.QuantityField(default=Decimal('0'), help_text='Percentage points of moisture, from the same sheet.'),
        ),
        migrations.AlterField(
            model_name='meter',
            name='per_degree',
            field=inventory.fields.QuantityField(default=Decimal('0'), help_text='Percentage points it reads high per 1 °C.'),
        ),
        migrations.AlterField(
            model_name='meter',
            name='slope',
            field=inventory.fields.QuantityField(default=Decimal('1'), help_text='From its data sheet, for species not listed below.'),
        ),
        migrations.AlterField(
            model_name='meterspecies',
            name='offset',
            field=inventory.fields.QuantityField(default=Decimal('0'), help_text='Percentage points of moisture.'),
        ),
        migrations.AlterField(
            model_name='moisturereading',
            name='is_crossed_out',
            field=models.BooleanField(default=False, help_text='Void: stays on record but does not count.'),
        ),
        migrations.AlterField(
            model_name='order',
            name='note',
            field=models.TextField(blank=True, help_text='Printed on the order.'),
        ),
        migrations.AlterField(
            model_name='orderline',
            name='price',
            field=models.DecimalField(decimal_places=4, help_text="Per unit as shown, in the supplier's currency.", max_digits=14, validators=[django.core.validators.MinValueValidator(0)]),
        ),
        migrations.AlterField(
            model_name='orderline',
            name='words',
            field=models.CharField(help_text="The supplier's name for it.", max_length=160),
        ),
        migrations.AlterField(
            model_name='paper',
            name='kind',
            field=models.CharField(choices=[('invoice', 'invoice'), ('permit', 'permit'), ('origin', 'statement of origin'), ('other', 'other document')], default='invoice', max_length=8),
        ),
        migrations.AlterField(
            model_name='piece',
            name='gone',
            field=models.CharField(blank=True, choices=[('drawn', 'drawn'), ('used', 'used'), ('rejected', 'rejected'), ('returned', 'sent back'), ('sold', 'sold'), ('missing', 'not found'), ('undone', 'reversed')], editable=False, max_length=10),
        ),
        migrations.AlterField(
            model_name='piece',
            name='is_ready',
            field=models.BooleanField(default=False, help_text='Near equilibrium with the air in your workshop.', verbose_name='ready'),
        ),
        migrations.AlterField(
            model_name='piece',
            name='log',
            field=models.CharField(blank=True, help_text='Pieces with the same log or billet belong together.', max_length=60),
        ),
        migrations.AlterField(
            model_name='piece',
            name='state',
            field=models.GeneratedField(choices=[('seasoning', 'drying'), ('ready', 'available'), ('half', 'half set'), ('downgraded', 'downgraded'), ('rejected', 'rejected'), ('drawn', 'drawn'), ('used', 'used'), ('returned', 'sent back'), ('sold', 'sold'), ('missing', 'not found'), ('undone', 'reversed')], db_persist=True, expression=models.Case(models.When(models.Q(('gone', ''), _negated=True), then=models.F('gone')), models.When(models.Q(('verdict', ''), _negated=True), then=models.F('verdict')), models.When(is_half=True, then=models.Value('half')), models.When(is_ready=True, then=models.Value('ready')), default=models.Value('seasoning')), output_field=models.CharField(choices=[('seasoning', 'drying'), ('ready', 'available'), ('half', 'half set'), ('downgraded', 'downgraded'), ('rejected', 'rejected'), ('drawn', 'drawn'), ('used', 'used'), ('returned', 'sent back'), ('sold', 'sold'), ('missing', 'not found'), ('undone', 'reversed')], max_length=10)),
        ),
        migrations.AlterField(
            model_name='piece',
            name='thickness_mm',
            field=inventory.fields.QuantityField(blank=True, help_text='The mean, if the piece tapers.', null=True),
        ),
        migrations.AlterField(
            model_name='pricebreak',
            name='price',
            field=models.DecimalField(decimal_places=4, help_text="Per unit as shown, in the supplier's currency.", max_digits=14, validators=[django.core.validators.MinValueValidator(0)]),
        ),
        migrations.AlterField(
            model_name='pricenote',
            name='delivery_line',
            field=models.ForeignKey(blank=True, help_text='For a price paid: what was bought.', null=True, on_delete=django.db.models.deletion.CASCADE, related_name='price_notes', to='inventory.deliveryline'),
        ),
        migrations.AlterField(
            model_name='pricenote',
            name='kind',
            field=models.CharField(choices=[('replacement', 'replacement price'), ('paid', 'paid, landed'), ('realisable', 'realisable value')], default='replacement', max_length=11),
        ),
        migrations.AlterField(
            model_name='pricenote',
            name='price',
            field=models.DecimalField(decimal_places=4, help_text='Workshop currency, per unit as shown.', max_digits=14, null=True),
        ),
        migrations.AlterField(
            model_name='promise',
            name='until',
            field=models.DateField(blank=True, help_text='Last day of the reservation.', null=True),
        ),
        migrations.AlterField(
            model_name='sale',
            name='price',
            field=inventory.fields.MoneyField(verbose_name='price, net of tax'),
        ),
        migrations.AlterField(
            model_name='sale',
            name='to',
            field=models.CharField(help_text='Name of the buyer.', max_length=120),
        ),
        migrations.AlterField(
            model_name='singlestring',
            name='grams_per_metre',
            field=models.DecimalField(blank=True, decimal_places=5, help_text='Measured or from the maker; empty for plain steel.', max_digits=9, null=True, validators=[django.core.validators.MinValueValidator(Decimal('0.00001'))], verbose_name='unit weight, g/m'),
        ),
        migrations.AlterField(
            model_name='species',
            name='listed_since',
            field=models.DateField(blank=True, help_text='Lots show whether they were received before this day.', null=True),
        ),
        migrations.AlterField(
            model_name='species',
            name='listing',
            field=models.CharField(blank=True, help_text='CITES listing, as read.', max_length=200),
        ),
        migrations.AlterField(
            model_name='species',
            name='source',
            field=models.TextField(blank=True, help_text='Source of these figures.'),
        ),
        migrations.AlterField(
            model_name='stockentry',
            name='about',
            field=models.ForeignKey(blank=True, help_text='The entry that this one reverses or returns stock of.', null=True, on_delete=django.db.models.deletion.PROTECT, related_name='followed_by', to='inventory.stockentry'),
        ),
        migrations.AlterField(
            model_name='stockentry',
            name='reason',
            field=models.CharField(choices=[('received', 'received'), ('drawn', 'drawn'), ('returned', 'returned'), ('scrapped', 'scrapped'), ('cut', 'cut'), ('split', 'split'), ('sold', 'sold'), ('counted', 'count difference'), ('sent_back', 'sent back'), ('made', 'made'), ('used', 'used'), ('downgraded', 'downgraded'), ('rejected', 'rejected'), ('cost_moved', 'cost adjusted'), ('corrected', 'reversed')], max_length=10),
        ),
        migrations.AlterField(
            model_name='stockrules',
            name='air_swing',
            field=inventory.fields.QuantityField(default=Decimal('0.7'), help_text='Larger in a workshop without controlled air. No source.', validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(10)], verbose_name='yearly swing of that moisture, points'),
        ),
        migrations.AlterField(
            model_name='stockrules',
            name='holding_percent',
            field=inventory.fields.QuantityField(default=Decimal('20'), validators=[django.core.validators.MinValueValidator(Decimal('0.1')), django.core.validators.MaxValueValidator(200)], verbose_name='yearly storage cost, percent of the price'),
        ),
        migrations.AlterField(
            model_name='stockrules',
            name='kerf_mm',
            field=inventory.fields.QuantityField(default=Decimal('1.5'), validators=[django.core.validators.MinValueValidator(0)], verbose_name='kerf, mm'),
        ),
        migrations.AlterField(
            model_name='stockrules',
            name='label_left_mm',
            field=inventory.fields.QuantityField(default=Decimal('7.2'), validators=[django.core.validators.MinValueValidator(0)], verbose_name='left margin, mm'),
        ),
        migrations.AlterField(
            model_name='stockrules',
            name='label_top_mm',
            field=inventory.fields.QuantityField(default=Decimal('12.9'), validators=[django.core.validators.MinValueValidator(0)], verbose_name='top margin, mm'),
        ),
        migrations.AlterField(
            model_name='stockrules',
            name='least_length_mm',
            field=inventory.fields.QuantityField(default=Decimal('100'), validators=[django.core.validators.MinValueValidator(0)], verbose_name='shortest remnant to keep, mm'),
        ),
        migrations.AlterField(
            model_name='stockrules',
            name='least_width_mm',
            field=inventory.fields.QuantityField(default=Decimal('25'), validators=[django.core.validators.MinValueValidator(0)], verbose_name='narrowest remnant to keep, mm'),
        ),
        migrations.AlterField(
            model_name='stockrules',
            name='meter_doubt',
            field=inventory.fields.QuantityField(default=Decimal('1'), help_text='Two readings in three are within this. No source: see its data sheet.', validators=[django.core.validators.MinValueValidator(Decimal('0.1')), django.core.validators.MaxValueValidator(10)], verbose_name='accuracy of the meter, points'),
        ),
        migrations.AlterField(
            model_name='stockrules',
            name='order_cost',
            field=inventory.fields.MoneyField(default=Decimal('10'), validators=[django.core.validators.MinValueValidator(0)], verbose_name='cost of placing an order'),
        ),
        migrations.AlterField(
            model_name='stockrules',
            name='ready_days_apart',
            field=models.PositiveSmallIntegerField(default=5, verbose_name='days apart, at least'),
        ),
        migrations.AlterField(
            model_name='stockrules',
            name='ready_near',
            field=inventory.fields.QuantityField(default=Decimal('1'), validators=[django.core.validators.MinValueValidator(Decimal('0.1')), django.core.validators.MaxValueValidator(10)], verbose_name='within points of the equilibrium moisture'),
        ),
        migrations.AlterField(
            model_name='stockrules',
            name='ready_weighings',
            field=models.PositiveSmallIntegerField(default=3, validators=[django.core.validators.MinValueValidator(2), django.core.validators.MaxValueValidator(12)], verbose_name='weighings that must agree'),
        ),
        migrations.AlterField(
            model_name='stockrules',
            name='service_level',
            field=inventory.fields.QuantityField(default=Decimal('95'), validators=[django.core.validators.MinValueValidator(50), django.core.validators.MaxValueValidator(Decimal('99.9'))], verbose_name='service level, percent'),
        ),
        migrations.AlterField(
            model_name='stockrules',
            name='shop_celsius',
            field=inventory.fields.QuantityField(default=Decimal('20'), verbose_name='workshop temperature, °C'),
        ),
        migrations.AlterField(
            model_name='stockrules',
            name='shop_humidity',
            field=inventory.fields.QuantityField(default=Decimal('45'), validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(100)], verbose_name='workshop humidity, percent'),
        ),
        migrations.AlterField(
            model_name='stockrules',
            name='take_first',
            field=models.CharField(choices=[('oldest', 'oldest first'), ('dearest', 'most expensive first')], default='oldest', max_length=7, verbose_name='propose pieces'),
        ),
        migrations.AlterField(
            model_name='stockrules',
            name='trim_mm',
            field=inventory.fields.QuantityField(default=Decimal('0'), validators=[django.core.validators.MinValueValidator(0)], verbose_name='trim at each end, mm'),
        ),
        migrations.AlterField(
            model_name='stockrules',
            name='warn_days',
            field=models.PositiveSmallIntegerField(default=30, verbose_name='expiry warning, days before'),
        ),
        migrations.AlterField(
            model_name='supplier',
            name='currency',
            field=models.CharField(blank=True, help_text="ISO 4217 code; empty for the workshop's currency.", max_length=3),
        ),
        migrations.AlterField(
            model_name='weighing',
            name='is_crossed_out',
            field=models.BooleanField(default=False, help_text='Void: stays on record but does not count.'),
        ),
        migrations.AlterField(
            model_name='workshop',
            name='tax_registered',
            field=models.BooleanField(default=False, help_text='Ask your accountant if unsure.', verbose_name='registered for sales tax or VAT'),
        ),
    ]
