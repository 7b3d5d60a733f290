import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models
from django.utils import timezone


# Since when a student has been in the group was not kept: from their vial on, at best.
def fill(apps, schema_editor):
    Student = apps.get_model('results', 'Student')
    Membership = apps.get_model('results', 'Membership')
    Issue = apps.get_model('results', 'Issue')
    now = timezone.now()
    first = {}
    for group_id, at in Issue.objects.order_by('-issued_at').values_list('group_id', 'issued_at'):
        first[group_id] = at
    for student in Student.objects.select_related('group__section').iterator(chunk_size=2000):
        student.section_id = student.group.section_id
        student.course_id = student.group.section.course_id
        student.save(update_fields=['section_id', 'course_id'])
        Membership.objects.create(
            student=student, group_id=student.group_id, since=first.get(student.group_id, now)
        )


class Migration(migrations.Migration):

    dependencies = [
        ('results', '0010_station_notes'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name='group',
            name='place',
            field=models.PositiveIntegerField(blank=True, null=True, verbose_name='place along the benches'),
        ),
        migrations.AddField(
            model_name='group',
            name='planned_station',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='planned_groups', to='results.station'),
        ),
        migrations.AddConstraint(
            model_name='group',
            constraint=models.UniqueConstraint(fields=('section', 'place'), name='group_place_once_per_section'),
        ),
        migrations.AddField(
            model_name='issue',
            name='reason',
            field=models.CharField(blank=True, max_length=240),
        ),
        migrations.AddField(
            model_name='issue',
            name='by',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='issue',
            name='by_name',
            field=models.CharField(blank=True, max_length=160),
        ),
        migrations.CreateModel(
            name='Membership',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('since', models.DateTimeField()),
                ('until', models.DateTimeField(blank=True, null=True)),
                ('group', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='memberships', to='results.group')),
                ('student', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='memberships', to='results.student')),
            ],
        ),
        migrations.AddConstraint(
            model_name='membership',
            constraint=models.UniqueConstraint(condition=models.Q(('until__isnull', True)), fields=('student',), name='student_in_one_group_at_a_time'),
        ),
        migrations.AddField(
            model_name='student',
            name='number',
            field=models.CharField(blank=True, help_text='What tells two people of one name apart; empty if there is none.', max_length=60, verbose_name='number at the college'),
        ),
        migrations.AddField(
            model_name='student',
            name='left_at',
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='student',
            name='course',
            field=models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='students', to='results.course'),
        ),
        migrations.AddField(
            model_name='student',
            name='section',
            field=models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='students', to='results.section'),
        ),
        migrations.RunPython(fill, migrations.RunPython.noop),
        migrations.RemoveConstraint(
            model_name='student',
            name='student_name_once_per_group',
        ),
        migrations.AlterField(
            model_name='student',
            name='group',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='students', to='results.group'),
        ),
    ]
