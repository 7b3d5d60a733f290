from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('results', '0012_people_on_rosters'),
    ]

    operations = [
        migrations.CreateModel(
            name='WorkBatch',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('finished_at', models.DateTimeField()),
                ('seconds', models.FloatField()),
                ('size', models.PositiveIntegerField(verbose_name='submissions tried')),
                ('failed', models.PositiveIntegerField(default=0, verbose_name='of these, with an error')),
            ],
            options={
                'verbose_name_plural': 'work batches',
                'indexes': [models.Index(fields=['finished_at'], name='work_batch_finished')],
                'constraints': [models.CheckConstraint(condition=models.Q(('size__gte', 1)), name='work_batch_not_empty'), models.CheckConstraint(condition=models.Q(('seconds__gte', 0)), name='work_batch_seconds_not_negative'), models.CheckConstraint(condition=models.Q(('failed__lte', models.F('size'))), name='work_batch_failed_at_most_all')],
            },
        ),
    ]
