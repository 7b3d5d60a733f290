import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from results.models.kept_tables import keep_rows


class Migration(migrations.Migration):

    dependencies = [
        ('results', '0015_prep_sheets'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='DutyNote',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('person_name', models.CharField(max_length=160)),
                ('deed', models.CharField(choices=[('given', 'duty given'), ('taken', 'duty taken'), ('link_made', 'link made'), ('link_withdrawn', 'link withdrawn'), ('link_used', 'link used')], max_length=16)),
                ('role', models.CharField(blank=True, choices=[('coordinator', 'coordinator'), ('assistant', 'assistant')], max_length=12)),
                ('section_code', models.CharField(blank=True, max_length=40)),
                ('at', models.DateTimeField()),
                ('by_name', models.CharField(max_length=160)),
                ('by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('course', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='duty_notes', to='results.course')),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('deed__in', ['given', 'taken', 'link_made', 'link_withdrawn', 'link_used'])), name='duty_note_deed_known'), models.CheckConstraint(condition=models.Q(models.Q(('role', 'assistant'), models.Q(('section_code', ''), _negated=True)), models.Q(models.Q(('role', 'assistant'), _negated=True), ('section_code', '')), _connector='OR'), name='duty_note_section_fits_role'), models.CheckConstraint(condition=models.Q(models.Q(('by_name', ''), _negated=True), models.Q(('person_name', ''), _negated=True)), name='duty_note_names_people')],
            },
        ),
        migrations.CreateModel(
            name='Invitation',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('digest', models.CharField(editable=False, max_length=64)),
                ('made_at', models.DateTimeField()),
                ('expires_at', models.DateTimeField()),
                ('used_at', models.DateTimeField(null=True)),
                ('withdrawn_at', models.DateTimeField(null=True)),
                ('course', models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='invitations', to='results.course')),
                ('user', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='invitations', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('digest',), name='invitation_digest_once'), models.UniqueConstraint(condition=models.Q(('used_at__isnull', True), ('withdrawn_at__isnull', True)), fields=('user',), name='invitation_open_once_per_person'), models.CheckConstraint(condition=models.Q(('used_at__isnull', True), ('withdrawn_at__isnull', True), _connector='OR'), name='invitation_used_or_withdrawn'), models.CheckConstraint(condition=models.Q(('expires_at__gt', models.F('made_at'))), name='invitation_expires_after_it_was_made')],
            },
        ),
        migrations.CreateModel(
            name='OutsideIdentity',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('issuer', models.CharField(max_length=255)),
                ('subject', models.CharField(max_length=255)),
                ('linked_at', models.DateTimeField()),
                ('user', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='outside_identities', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'verbose_name_plural': 'outside identities',
                'constraints': [models.UniqueConstraint(fields=('issuer', 'subject'), name='identity_subject_once_per_issuer'), models.UniqueConstraint(fields=('issuer', 'user'), name='identity_person_once_per_issuer'), models.CheckConstraint(condition=models.Q(models.Q(('subject', ''), _negated=True), models.Q(('issuer', ''), _negated=True)), name='identity_names_somebody')],
            },
        ),
        # History that a program could rewrite is none.
        keep_rows('results_dutynote', 'duty_note_append_only'),
    ]
