import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from results.models.kept_tables import keep_rows


class Migration(migrations.Migration):

    dependencies = [
        ('results', '0013_work_batches'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='Assay',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('titration', 'Titrations, from masses and titres'), ('percent', 'Replicate results in % iron'), ('make_up', 'Make-up by weight'), ('certificate', 'A certificate’s value'), ('withdrawn', 'Withdrawn')], max_length=12)),
                ('basis', models.JSONField()),
                ('made_at', models.DateTimeField()),
                ('note', models.CharField(blank=True, max_length=240)),
                ('reason', models.CharField(blank=True, max_length=240)),
                ('entered_at', models.DateTimeField()),
                ('by_name', models.CharField(max_length=160)),
            ],
        ),
        migrations.CreateModel(
            name='AssayResult',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('place', models.PositiveIntegerField(verbose_name='place in the record, from 1')),
                ('vial', models.CharField(blank=True, max_length=40, verbose_name='label of the vial')),
                ('replicate', models.PositiveIntegerField(verbose_name="number among the vial's results")),
                ('iron_percent', models.FloatField(blank=True, null=True, verbose_name='iron content, % by mass')),
                ('mass_g', models.FloatField(blank=True, null=True)),
                ('titre_mL', models.FloatField(blank=True, null=True)),
                ('set_aside', models.CharField(blank=True, max_length=240)),
            ],
        ),
        migrations.AddField(
            model_name='lot',
            name='retired_at',
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='lot',
            name='retired_by_name',
            field=models.CharField(blank=True, max_length=160),
        ),
        migrations.AddField(
            model_name='lot',
            name='retired_reason',
            field=models.CharField(blank=True, max_length=240),
        ),
        migrations.AddField(
            model_name='vial',
            name='retired_at',
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='vial',
            name='retired_by_name',
            field=models.CharField(blank=True, max_length=160),
        ),
        migrations.AddField(
            model_name='vial',
            name='retired_reason',
            field=models.CharField(blank=True, max_length=240),
        ),
        migrations.AddConstraint(
            model_name='lot',
            constraint=models.CheckConstraint(condition=models.Q(('retired_at__isnull', True), models.Q(('retired_reason', ''), _negated=True), _connector='OR'), name='lot_retired_for_a_reason'),
        ),
        migrations.AddConstraint(
            model_name='vial',
            constraint=models.CheckConstraint(condition=models.Q(('retired_at__isnull', True), models.Q(('retired_reason', ''), _negated=True), _connector='OR'), name='vial_retired_for_a_reason'),
        ),
        migrations.AddField(
            model_name='assay',
            name='by',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='assay',
            name='lot',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='assays', to='results.lot'),
        ),
        migrations.AddField(
            model_name='assay',
            name='replaces',
            field=models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='replaced_by', to='results.assay'),
        ),
        migrations.AddField(
            model_name='assignedvalue',
            name='assay',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.RESTRICT, related_name='values', to='results.assay'),
        ),
        migrations.AddField(
            model_name='assignedvalue',
            name='homogeneity',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.RESTRICT, related_name='+', to='results.assay'),
        ),
        migrations.AddField(
            model_name='assayresult',
            name='assay',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='results', to='results.assay'),
        ),
        migrations.AddConstraint(
            model_name='assay',
            constraint=models.CheckConstraint(condition=models.Q(('kind__in', ['titration', 'percent', 'make_up', 'certificate', 'withdrawn'])), name='assay_kind_known'),
        ),
        migrations.AddConstraint(
            model_name='assay',
            constraint=models.CheckConstraint(condition=models.Q(('by_name', ''), _negated=True), name='assay_by_somebody'),
        ),
        migrations.AddConstraint(
            model_name='assay',
            constraint=models.CheckConstraint(condition=models.Q(('replaces__isnull', True), models.Q(('reason', ''), _negated=True), _connector='OR'), name='assay_that_replaces_says_why'),
        ),
        migrations.AddConstraint(
            model_name='assayresult',
            constraint=models.UniqueConstraint(fields=('assay', 'place'), name='assay_result_place_once'),
        ),
        migrations.AddConstraint(
            model_name='assayresult',
            constraint=models.UniqueConstraint(fields=('assay', 'vial', 'replicate'), name='assay_result_replicate_once_per_vial'),
        ),
        migrations.AddConstraint(
            model_name='assayresult',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('iron_percent__gt', 0), ('iron_percent__isnull', False), ('iron_percent__lte', 100), ('mass_g__isnull', True), ('titre_mL__isnull', True)), models.Q(('iron_percent__isnull', True), ('mass_g__gt', 0), ('mass_g__isnull', False), ('titre_mL__gt', 0), ('titre_mL__isnull', False)), _connector='OR'), name='assay_result_in_percent_or_titrated'),
        ),
        # History that a program could rewrite is none.
        keep_rows('results_assay', 'results_assay_append_only'),
        keep_rows('results_assayresult', 'results_assayresult_append_only'),
    ]
