import django.contrib.auth.validators
import django.core.validators
import django.db.models.deletion
import django.db.models.functions.text
import school.models.places
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    replaces = [('school', '0001_initial'), ('school', '0002_minutes_with_a_partner'), ('school', '0003_charts_as'), ('school', '0004_nobody_asks_who_signed_in_last'), ('school', '0005_invitations_and_the_first_start'), ('school', '0006_people_may_ask_to_be_erased'), ('school', '0007_what_is_said_of_photographs'), ('school', '0008_what_is_kept_of_a_secret_has_one_name')]

    initial = True

    dependencies = [
    ]

    operations = [
        migrations.CreateModel(
            name='FirstStartCode',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('secret_hash', models.CharField(editable=False, max_length=64, unique=True)),
                ('made_at', models.DateTimeField(auto_now_add=True)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Room',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=80, unique=True)),
                ('length_metres', models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True)),
                ('width_metres', models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True)),
                ('floor', models.CharField(blank=True, max_length=80)),
                ('people', models.PositiveSmallIntegerField(blank=True, null=True, verbose_name='people allowed')),
                ('travelling_dances', models.BooleanField(default=True)),
                ('music_off', models.TimeField(blank=True, null=True)),
                ('note', models.TextField(blank=True)),
            ],
            options={
                'ordering': ['name'],
            },
        ),
        migrations.CreateModel(
            name='Person',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('password', models.CharField(max_length=128, verbose_name='password')),
                ('username', models.CharField(error_messages={'unique': 'Somebody already signs in with this name.'}, max_length=150, unique=True, validators=[django.contrib.auth.validators.UnicodeUsernameValidator()])),
                ('name', models.CharField(max_length=120)),
                ('email', models.EmailField(blank=True, max_length=254)),
                ('is_minor', models.BooleanField(default=False, verbose_name='under 18')),
                ('guardian_name', models.CharField(blank=True, max_length=120)),
                ('is_active', models.BooleanField(default=True)),
                ('password_is_one_time', models.BooleanField(default=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('asked_to_be_erased', models.DateTimeField(blank=True, editable=False, null=True)),
                ('erased_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('charts_as', models.CharField(blank=True, choices=[('leader', 'leader'), ('follower', 'follower'), ('both', 'both')], max_length=8, verbose_name='charts shown as')),
            ],
            options={
                'ordering': ['name', 'pk'],
                'constraints': [models.UniqueConstraint(django.db.models.functions.text.Lower('username'), name='person_username_once_whatever_its_case')],
            },
        ),
        migrations.CreateModel(
            name='PhotoWord',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('agrees', models.BooleanField()),
                ('said_on', models.DateField()),
                ('by_guardian', models.BooleanField(default=False, verbose_name='said by the guardian')),
                ('entered_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='photo_words_entered', to=settings.AUTH_USER_MODEL)),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='photo_words', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['person', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='School',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=120)),
                ('town', models.CharField(blank=True, max_length=120)),
                ('time_zone', models.CharField(default='Europe/London', max_length=64, validators=[school.models.places.check_zone])),
                ('who_moves', models.CharField(choices=[('followers', 'followers move on'), ('leaders', 'leaders move on')], default='followers', max_length=10)),
                ('minutes_with_a_partner', models.PositiveSmallIntegerField(default=3, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(60)], verbose_name='minutes with one partner')),
                ('first_aid', models.TextField(blank=True, verbose_name='first aider and exits')),
                ('safeguarding', models.TextField(blank=True, verbose_name='named safeguarding person and house rules')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('pk', 1)), name='school_is_the_only_one')],
            },
        ),
        migrations.CreateModel(
            name='Term',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=80, unique=True)),
                ('first_day', models.DateField()),
                ('last_day', models.DateField()),
            ],
            options={
                'ordering': ['-first_day'],
                'constraints': [models.CheckConstraint(condition=models.Q(('last_day__gte', models.F('first_day'))), name='term_ends_after_it_begins')],
            },
        ),
        migrations.CreateModel(
            name='Invitation',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('secret_hash', models.CharField(editable=False, max_length=64, unique=True)),
                ('made_at', models.DateTimeField()),
                ('ends_at', models.DateTimeField()),
                ('used_at', models.DateTimeField(blank=True, null=True)),
                ('withdrawn_at', models.DateTimeField(blank=True, null=True)),
                ('made_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='invitations_made', to=settings.AUTH_USER_MODEL)),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='invitations', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-made_at', '-pk'],
                'constraints': [models.UniqueConstraint(condition=models.Q(('used_at', None), ('withdrawn_at', None)), fields=('person',), name='one_open_invitation_a_person')],
            },
        ),
        migrations.CreateModel(
            name='PersonRole',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('role', models.CharField(choices=[('director', 'director'), ('instructor', 'instructor'), ('student', 'student')], max_length=12)),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('person', 'role'), name='person_has_a_role_once'), models.CheckConstraint(condition=models.Q(('role__in', ['director', 'instructor', 'student'])), name='person_role_is_known')],
            },
        ),
        migrations.CreateModel(
            name='Closure',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('first_day', models.DateField()),
                ('last_day', models.DateField()),
                ('reason', models.CharField(max_length=120)),
                ('room', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, to='school.room')),
            ],
            options={
                'ordering': ['first_day', 'pk'],
                'constraints': [models.CheckConstraint(condition=models.Q(('last_day__gte', models.F('first_day'))), name='closure_ends_after_it_begins')],
            },
        ),
    ]
