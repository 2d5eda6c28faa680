import django.core.validators
import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    replaces = [('lessons', '0001_initial'), ('lessons', '0002_evenings'), ('lessons', '0003_sendings'), ('lessons', '0004_courses_begin_and_closures_are_undone'), ('lessons', '0005_what_was_planned'), ('lessons', '0006_changed_sheets_and_private_lessons'), ('lessons', '0007_when_a_plan_was_retired'), ('lessons', '0008_milestones_carry_a_version'), ('lessons', '0009_cover_links_end_with_their_lesson'), ('lessons', '0010_steps_of_a_draft'), ('lessons', '0011_own_notes_and_open_plans'), ('lessons', '0012_who_is_away_and_teaches_what_not'), ('lessons', '0013_catch_up_lessons'), ('lessons', '0014_the_school_and_the_rest_of_a_term_are_planned'), ('lessons', '0015_lists_for_the_next_level'), ('lessons', '0016_calendars'), ('lessons', '0017_course_pages_for_the_wall'), ('lessons', '0018_a_segments_piece'), ('lessons', '0019_couples_book_together'), ('lessons', '0020_helpers_who_can_be_called'), ('lessons', '0021_who_comes_along_to_catch_up'), ('lessons', '0022_what_is_kept_of_a_secret_has_one_name'), ('lessons', '0023_when_marks_and_notes_were_made')]

    initial = True

    dependencies = [
        ('curriculum', '0001_squashed_0005_routine_history'),
        ('school', '0001_squashed_0008_what_is_kept_of_a_secret_has_one_name'),
    ]

    operations = [
        migrations.CreateModel(
            name='CourseGroup',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=60, unique=True)),
            ],
            options={
                'ordering': ['name'],
            },
        ),
        migrations.CreateModel(
            name='WorkerSign',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('worker', models.CharField(max_length=80, unique=True)),
                ('seen_at', models.DateTimeField()),
            ],
            options={
                'ordering': ['-seen_at'],
            },
        ),
        migrations.CreateModel(
            name='CalendarAddress',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('secret_hash', models.CharField(editable=False, max_length=64, unique=True)),
                ('events_in', models.UUIDField(default=uuid.uuid4, editable=False)),
                ('made_at', models.DateTimeField()),
                ('person', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='calendar_address', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['person'],
            },
        ),
        migrations.CreateModel(
            name='Course',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('key', models.SlugField(help_text='short name used on the command line, e.g. WB1', max_length=20)),
                ('name', models.CharField(max_length=80)),
                ('kind', models.CharField(choices=[('group', 'a fixed group'), ('drop_in', 'drop-in')], default='group', max_length=8)),
                ('interval_weeks', models.PositiveSmallIntegerField(default=1, validators=[django.core.validators.MinValueValidator(1)], verbose_name='every how many weeks')),
                ('places_leaders', models.PositiveSmallIntegerField(default=8, verbose_name='places for leaders')),
                ('places_followers', models.PositiveSmallIntegerField(default=8, verbose_name='places for followers')),
                ('allowed_difference', models.PositiveSmallIntegerField(default=2, verbose_name='allowed difference between roles')),
                ('first_lesson', models.DateField(blank=True, null=True, verbose_name='first lesson on or after')),
                ('newcomers_until', models.DateField(blank=True, null=True, verbose_name='newcomers may join until')),
                ('drop_ins_welcome', models.BooleanField(default=False)),
                ('plan_open', models.BooleanField(default=True, verbose_name='students may read what is planned')),
                ('most_new', models.PositiveSmallIntegerField(blank=True, help_text='empty: as the level says', null=True, validators=[django.core.validators.MinValueValidator(1)], verbose_name='most new figures a lesson')),
                ('new_in_last_lesson', models.BooleanField(default=False, verbose_name='new figures in the last lesson too')),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('continues', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='continued_by', to='lessons.course')),
                ('dance', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='courses', to='curriculum.dance')),
                ('routine', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='courses', to='curriculum.routine')),
                ('term', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='courses', to='school.term')),
                ('group', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='courses', to='lessons.coursegroup')),
            ],
            options={
                'ordering': ['term', 'key'],
                'constraints': [models.UniqueConstraint(fields=('term', 'key'), name='course_key_once_a_term'), models.CheckConstraint(condition=models.Q(('interval_weeks__gte', 1)), name='course_meets_every_some_weeks'), models.CheckConstraint(condition=models.Q(models.Q(('continues', models.F('pk')), _negated=True), ('continues__isnull', True), _connector='OR'), name='course_not_after_itself'), models.CheckConstraint(condition=models.Q(('most_new__isnull', True), ('most_new__gte', 1), _connector='OR'), name='course_allows_a_new_figure')],
            },
        ),
        migrations.CreateModel(
            name='CourseLevel',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('course', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, to='lessons.course')),
                ('level', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to='curriculum.level')),
            ],
            options={
                'ordering': ['course', 'level__rank'],
                'constraints': [models.UniqueConstraint(fields=('course', 'level'), name='course_level_once')],
            },
        ),
        migrations.AddField(
            model_name='course',
            name='levels',
            field=models.ManyToManyField(related_name='courses', through='lessons.CourseLevel', to='curriculum.level'),
        ),
        migrations.CreateModel(
            name='Enrolment',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('role', models.CharField(choices=[('L', 'leader'), ('F', 'follower')], max_length=1)),
                ('dances_both', models.BooleanField(default=False)),
                ('joined', models.DateField()),
                ('left', models.DateField(blank=True, null=True)),
                ('waiting', models.BooleanField(default=False, verbose_name='on the waiting list')),
                ('couple_with', models.OneToOneField(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='lessons.enrolment')),
                ('course', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='enrolments', to='lessons.course')),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='enrolments', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['course', 'person__name'],
                'constraints': [models.UniqueConstraint(condition=models.Q(('left__isnull', True)), fields=('course', 'person'), name='enrolled_once_at_a_time', violation_error_message='This person is already in the course.'), models.CheckConstraint(condition=models.Q(('left__isnull', True), ('left__gte', models.F('joined')), _connector='OR'), name='enrolment_ends_after_it_begins'), models.CheckConstraint(condition=models.Q(('role__in', ['L', 'F'])), name='enrolment_role_known')],
            },
        ),
        migrations.CreateModel(
            name='Helper',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('role', models.CharField(choices=[('L', 'leads'), ('F', 'follows'), ('B', 'dances either role')], max_length=1, verbose_name='can dance as')),
                ('dances', models.ManyToManyField(blank=True, related_name='+', to='curriculum.dance')),
                ('person', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='helper', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['person__name', 'pk'],
                'constraints': [models.CheckConstraint(condition=models.Q(('role__in', ['L', 'F', 'B'])), name='helper_role_known')],
            },
        ),
        migrations.CreateModel(
            name='LessonInstructor',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('covers', models.BooleanField(default=False, verbose_name='takes the lesson for somebody')),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['lesson', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='LessonRecord',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('note', models.TextField(blank=True, verbose_name='note to the next instructor')),
                ('unnamed_guests', models.PositiveSmallIntegerField(default=0)),
                ('version', models.PositiveIntegerField(default=1)),
                ('recorded_at', models.DateTimeField(auto_now=True)),
                ('recorded_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='records_written', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['lesson__date', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='Attendance',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('role', models.CharField(blank=True, choices=[('L', 'leader'), ('F', 'follower')], max_length=1)),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='attendance', to=settings.AUTH_USER_MODEL)),
                ('record', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='attendance', to='lessons.lessonrecord')),
            ],
            options={
                'ordering': ['record', 'person__name'],
                'constraints': [models.UniqueConstraint(fields=('record', 'person'), name='attendance_once')],
            },
        ),
        migrations.CreateModel(
            name='LessonSession',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('first_date', models.DateField()),
                ('date', models.DateField()),
                ('start', models.TimeField()),
                ('minutes', models.PositiveSmallIntegerField(validators=[django.core.validators.MinValueValidator(1)])),
                ('kind', models.CharField(choices=[('ordinary', 'ordinary'), ('revision', 'revision'), ('guest', 'guest'), ('practice', 'practice evening'), ('workshop', 'workshop'), ('showcase', 'showcase'), ('test', 'test')], default='ordinary', max_length=10)),
                ('cancelled_at', models.DateTimeField(blank=True, null=True)),
                ('cancelled_because', models.CharField(blank=True, max_length=200)),
                ('note', models.TextField(blank=True)),
                ('revision', models.PositiveIntegerField(default=0, editable=False)),
                ('revised_at', models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ('closure', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='fallen_out', to='school.closure')),
                ('course', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='lessons', to='lessons.course')),
                ('instructors', models.ManyToManyField(related_name='lessons_given', through='lessons.LessonInstructor', to=settings.AUTH_USER_MODEL)),
                ('room', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='lessons', to='school.room')),
            ],
            options={
                'ordering': ['course', 'date', 'start'],
                'indexes': [models.Index(fields=['date', 'start'], name='lessons_les_date_150204_idx')],
                'constraints': [models.UniqueConstraint(condition=models.Q(('cancelled_at__isnull', True)), fields=('course', 'date', 'start'), name='course_meets_once_at_a_time', violation_error_message='The course already has a lesson at that time.'), models.CheckConstraint(condition=models.Q(('minutes__gte', 1)), name='lesson_takes_a_minute'), models.CheckConstraint(condition=models.Q(('kind__in', ['ordinary', 'revision', 'guest', 'practice', 'workshop', 'showcase', 'test'])), name='lesson_kind_known')],
            },
        ),
        migrations.AddField(
            model_name='lessonrecord',
            name='lesson',
            field=models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='record', to='lessons.lessonsession'),
        ),
        migrations.AddField(
            model_name='lessoninstructor',
            name='lesson',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, to='lessons.lessonsession'),
        ),
        migrations.CreateModel(
            name='HelperCall',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('role', models.CharField(choices=[('L', 'leader'), ('F', 'follower')], max_length=1, verbose_name='role on the floor')),
                ('called_at', models.DateTimeField()),
                ('called_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='helpers_called', to=settings.AUTH_USER_MODEL)),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='helper_calls', to=settings.AUTH_USER_MODEL)),
                ('lesson', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='helper_calls', to='lessons.lessonsession')),
            ],
            options={
                'ordering': ['lesson', 'called_at', 'pk'],
                'constraints': [models.UniqueConstraint(fields=('lesson', 'person'), name='helper_called_once_a_lesson'), models.CheckConstraint(condition=models.Q(('role__in', ['L', 'F'])), name='helper_call_role_known')],
            },
        ),
        migrations.CreateModel(
            name='CoverLink',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('secret_hash', models.CharField(editable=False, max_length=64, unique=True)),
                ('made_at', models.DateTimeField()),
                ('withdrawn_at', models.DateTimeField(blank=True, null=True)),
                ('made_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='cover_links_made', to=settings.AUTH_USER_MODEL)),
                ('lesson', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='cover_links', to='lessons.lessonsession')),
            ],
            options={
                'ordering': ['-made_at', '-pk'],
            },
        ),
        migrations.CreateModel(
            name='CatchUp',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('role', models.CharField(choices=[('L', 'leader'), ('F', 'follower')], max_length=1, verbose_name='role on the floor')),
                ('comes_along', models.BooleanField(default=False, verbose_name='comes along with a partner')),
                ('state', models.CharField(choices=[('asked', 'asked'), ('confirmed', 'confirmed'), ('declined', 'declined'), ('withdrawn', 'withdrawn')], default='asked', max_length=9)),
                ('asked_at', models.DateTimeField()),
                ('answered_at', models.DateTimeField(blank=True, null=True)),
                ('answered_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='catch_ups_answered', to=settings.AUTH_USER_MODEL)),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='catch_ups', to=settings.AUTH_USER_MODEL)),
                ('lesson', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='catch_ups', to='lessons.lessonsession')),
                ('missed', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='caught_up_in', to='lessons.lessonsession')),
            ],
            options={
                'ordering': ['lesson', 'asked_at', 'pk'],
                'constraints': [models.UniqueConstraint(fields=('lesson', 'person'), name='catch_up_once_a_lesson'), models.CheckConstraint(condition=models.Q(('state__in', ['asked', 'confirmed', 'declined', 'withdrawn'])), name='catch_up_state_known'), models.CheckConstraint(condition=models.Q(('role__in', ['L', 'F'])), name='catch_up_role_known')],
            },
        ),
        migrations.CreateModel(
            name='LessonShape',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=60, unique=True)),
                ('is_default', models.BooleanField(default=False)),
                ('for_kind', models.CharField(blank=True, choices=[('ordinary', 'ordinary'), ('revision', 'revision'), ('guest', 'guest'), ('practice', 'practice evening'), ('workshop', 'workshop'), ('showcase', 'showcase'), ('test', 'test')], help_text='a revision, a workshop and the like have a shape of their own', max_length=10, verbose_name='for lessons of this kind')),
            ],
            options={
                'ordering': ['name'],
                'constraints': [models.UniqueConstraint(condition=models.Q(('for_kind', ''), _negated=True), fields=('for_kind',), name='one_shape_for_a_kind_of_lesson', violation_error_message='Another shape is for lessons of this kind already.'), models.CheckConstraint(condition=models.Q(('for_kind__in', ['', 'ordinary', 'revision', 'guest', 'practice', 'workshop', 'showcase', 'test'])), name='shape_kind_of_lesson_known'), models.UniqueConstraint(condition=models.Q(('is_default', True)), fields=('is_default',), name='one_shape_is_the_default')],
            },
        ),
        migrations.AddField(
            model_name='course',
            name='shape',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='courses', to='lessons.lessonshape'),
        ),
        migrations.CreateModel(
            name='Meeting',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('weekday', models.PositiveSmallIntegerField(choices=[(0, 'Monday'), (1, 'Tuesday'), (2, 'Wednesday'), (3, 'Thursday'), (4, 'Friday'), (5, 'Saturday'), (6, 'Sunday')])),
                ('start', models.TimeField()),
                ('minutes', models.PositiveSmallIntegerField(default=60, validators=[django.core.validators.MinValueValidator(1)])),
                ('course', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='meetings', to='lessons.course')),
                ('room', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='meetings', to='school.room')),
            ],
            options={
                'ordering': ['course', 'weekday', 'start'],
                'constraints': [models.UniqueConstraint(fields=('course', 'weekday', 'start'), name='meeting_once'), models.CheckConstraint(condition=models.Q(('minutes__gte', 1)), name='meeting_takes_a_minute'), models.CheckConstraint(condition=models.Q(('weekday__lte', 6)), name='meeting_on_a_weekday')],
            },
        ),
        migrations.CreateModel(
            name='Milestone',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=80)),
                ('day', models.DateField()),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('course', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='milestones', to='lessons.course')),
                ('figures', models.ManyToManyField(blank=True, to='curriculum.figure')),
                ('routine', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, to='curriculum.routine')),
            ],
            options={
                'ordering': ['day', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='NotPaired',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('other', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['person__name', 'other__name'],
                'constraints': [models.UniqueConstraint(fields=('person', 'other'), name='not_paired_once'), models.CheckConstraint(condition=models.Q(('person__lt', models.F('other'))), name='not_paired_smaller_key_first')],
            },
        ),
        migrations.CreateModel(
            name='OwnMark',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('role', models.CharField(choices=[('L', 'leader'), ('F', 'follower')], max_length=1)),
                ('mark', models.CharField(choices=[('not_yet', 'not yet'), ('thinking', 'if I think'), ('easy', 'without thinking')], max_length=8)),
                ('marked_at', models.DateTimeField(blank=True, null=True)),
                ('figure', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, to='curriculum.figure')),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='own_marks', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['person', 'figure'],
                'constraints': [models.UniqueConstraint(fields=('person', 'figure', 'role'), name='own_mark_once')],
            },
        ),
        migrations.CreateModel(
            name='OwnNote',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('text', models.TextField(max_length=2000)),
                ('version', models.PositiveIntegerField(default=1)),
                ('written_at', models.DateTimeField(blank=True, null=True)),
                ('figure', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, to='curriculum.figure')),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='own_notes', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['person', 'figure'],
                'constraints': [models.UniqueConstraint(fields=('person', 'figure'), name='own_note_once')],
            },
        ),
        migrations.CreateModel(
            name='PlanFigure',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('required', models.BooleanField(default=True)),
                ('importance', models.PositiveSmallIntegerField(default=1, validators=[django.core.validators.MinValueValidator(1)])),
                ('parts', models.PositiveSmallIntegerField(default=1, validators=[django.core.validators.MinValueValidator(1)])),
                ('earliest', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='lessons.lessonsession')),
                ('figure', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='plan_figures', to='curriculum.figure')),
                ('latest', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='lessons.lessonsession')),
                ('pinned', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='lessons.lessonsession')),
            ],
            options={
                'ordering': ['plan', 'figure__level__rank', 'figure__order', 'figure'],
                'constraints': [models.CheckConstraint(condition=models.Q(('parts__gte', 1)), name='plan_figure_has_a_part'), models.CheckConstraint(condition=models.Q(('importance__gte', 1)), name='plan_figure_matters')],
            },
        ),
        migrations.CreateModel(
            name='PlanBar',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('lesson', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to='lessons.lessonsession')),
                ('plan_figure', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='bars', to='lessons.planfigure')),
            ],
            options={
                'ordering': ['plan_figure', 'lesson'],
                'constraints': [models.UniqueConstraint(fields=('plan_figure', 'lesson'), name='plan_bar_once')],
            },
        ),
        migrations.CreateModel(
            name='PlanIntroduction',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('part', models.PositiveSmallIntegerField(default=0)),
                ('lesson', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='introductions', to='lessons.lessonsession')),
                ('plan_figure', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='introductions', to='lessons.planfigure')),
            ],
            options={
                'ordering': ['plan_figure', 'part'],
                'constraints': [models.UniqueConstraint(fields=('plan_figure', 'part'), name='plan_part_once'), models.UniqueConstraint(fields=('plan_figure', 'lesson'), name='plan_lesson_takes_one_part')],
            },
        ),
        migrations.CreateModel(
            name='PlannedSheet',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('said', models.JSONField()),
                ('record', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='planned_sheet', to='lessons.lessonrecord')),
            ],
            options={
                'ordering': ['record'],
            },
        ),
        migrations.CreateModel(
            name='PlanReview',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('due', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='lessons.lessonsession')),
                ('lesson', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='reviews', to='lessons.lessonsession')),
                ('plan_figure', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='reviews', to='lessons.planfigure')),
            ],
            options={
                'ordering': ['plan_figure', 'lesson'],
                'constraints': [models.UniqueConstraint(fields=('plan_figure', 'lesson'), name='plan_review_once_a_lesson')],
            },
        ),
        migrations.CreateModel(
            name='PrivateFigure',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('outcome', models.CharField(blank=True, choices=[('introduced', 'introduced'), ('finish_later', 'to finish later'), ('not_reached', 'not reached'), ('reviewed', 'done again')], max_length=12)),
                ('went', models.CharField(blank=True, choices=[('solid', 'solid'), ('shaky', 'shaky'), ('not_yet', 'not there yet')], max_length=8, verbose_name='how it went')),
                ('note', models.CharField(blank=True, max_length=300)),
                ('figure', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='curriculum.figure')),
            ],
            options={
                'ordering': ['lesson', 'pk'],
                'constraints': [models.CheckConstraint(condition=models.Q(('outcome__in', ['', 'introduced', 'finish_later', 'not_reached', 'reviewed'])), name='private_outcome_known')],
            },
        ),
        migrations.CreateModel(
            name='PrivateLesson',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('role', models.CharField(choices=[('L', 'leader'), ('F', 'follower')], max_length=1, verbose_name='role on the floor')),
                ('date', models.DateField()),
                ('start', models.TimeField()),
                ('minutes', models.PositiveSmallIntegerField(default=45, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(240)])),
                ('homework', models.TextField(blank=True, max_length=2000)),
                ('version', models.PositiveIntegerField(default=1)),
                ('figures', models.ManyToManyField(related_name='private_lessons', through='lessons.PrivateFigure', to='curriculum.figure')),
                ('instructor', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='private_lessons_given', to=settings.AUTH_USER_MODEL)),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='private_lessons', to=settings.AUTH_USER_MODEL)),
                ('room', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='school.room')),
            ],
            options={
                'ordering': ['-date', '-start', 'pk'],
                'constraints': [models.CheckConstraint(condition=models.Q(('minutes__gte', 1)), name='private_lesson_takes_a_minute'), models.CheckConstraint(condition=models.Q(('role__in', ['L', 'F'])), name='private_lesson_role_known'), models.UniqueConstraint(fields=('instructor', 'date', 'start'), name='private_lesson_once_at_a_time', violation_error_message='This instructor gives a private lesson then already.')],
            },
        ),
        migrations.AddField(
            model_name='privatefigure',
            name='lesson',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='worked_on', to='lessons.privatelesson'),
        ),
        migrations.CreateModel(
            name='RecordedFigure',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('outcome', models.CharField(choices=[('introduced', 'introduced'), ('finish_later', 'to finish later'), ('not_reached', 'not reached'), ('reviewed', 'done again')], max_length=12)),
                ('went', models.CharField(blank=True, choices=[('solid', 'solid'), ('shaky', 'shaky'), ('not_yet', 'not there yet')], max_length=8)),
                ('minutes_owed', models.PositiveSmallIntegerField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(1)], verbose_name='minutes still needed')),
                ('figure', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='recorded', to='curriculum.figure')),
                ('record', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='figures', to='lessons.lessonrecord')),
            ],
            options={
                'ordering': ['record', 'pk'],
                'constraints': [models.UniqueConstraint(fields=('record', 'figure'), name='figure_recorded_once_a_lesson'), models.CheckConstraint(condition=models.Q(('outcome__in', ['introduced', 'finish_later', 'not_reached', 'reviewed'])), name='record_outcome_known'), models.CheckConstraint(condition=models.Q(('minutes_owed__isnull', True), ('minutes_owed__gte', 1), _connector='OR'), name='record_owes_a_minute')],
            },
        ),
        migrations.CreateModel(
            name='RecordSubmission',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('uuid', models.UUIDField(unique=True)),
                ('at', models.DateTimeField(auto_now_add=True)),
                ('by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('lesson', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='submissions', to='lessons.lessonsession')),
            ],
            options={
                'ordering': ['at', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='RecordVersion',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField()),
                ('at', models.DateTimeField()),
                ('said', models.JSONField()),
                ('by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('record', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='versions', to='lessons.lessonrecord')),
            ],
            options={
                'ordering': ['record', '-version'],
                'constraints': [models.UniqueConstraint(fields=('record', 'version'), name='record_version_kept_once')],
            },
        ),
        migrations.CreateModel(
            name='Requirement',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveSmallIntegerField(default=0, verbose_name='place')),
                ('habit', models.CharField(blank=True, max_length=120)),
                ('role', models.CharField(blank=True, choices=[('L', 'leader'), ('F', 'follower')], max_length=1, verbose_name='asked of')),
                ('figure', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='required_for', to='curriculum.figure')),
                ('level', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='requirements', to='curriculum.level')),
            ],
            options={
                'ordering': ['level', 'position', 'pk'],
                'constraints': [models.CheckConstraint(condition=models.Q(models.Q(('figure__isnull', False), ('habit', '')), models.Q(('figure__isnull', True), models.Q(('habit', ''), _negated=True)), _connector='OR'), name='requirement_is_figure_or_habit'), models.CheckConstraint(condition=models.Q(('role__in', ['', 'L', 'F'])), name='requirement_role_known'), models.UniqueConstraint(fields=('level', 'figure'), name='requirement_figure_once_a_level', violation_error_message='This figure stands in the list already.')],
            },
        ),
        migrations.CreateModel(
            name='SchoolRun',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('asked_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('term', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='school_runs', to='school.term')),
            ],
            options={
                'ordering': ['-created_at', '-pk'],
            },
        ),
        migrations.CreateModel(
            name='ShapeSegment',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveSmallIntegerField()),
                ('kind', models.CharField(choices=[('arrive', 'arrive and register'), ('warm_up', 'warm-up'), ('recap', 'last time'), ('review', 'again'), ('new', 'new'), ('routine', 'routine'), ('practice', 'practice to music'), ('close', 'close and notices')], max_length=12)),
                ('least', models.PositiveSmallIntegerField(default=0)),
                ('ideal', models.PositiveSmallIntegerField(validators=[django.core.validators.MinValueValidator(1)])),
                ('most', models.PositiveSmallIntegerField(validators=[django.core.validators.MinValueValidator(1)])),
                ('give_way', models.PositiveSmallIntegerField(default=0, help_text='what goes first when time is short')),
                ('shape', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='segments', to='lessons.lessonshape')),
            ],
            options={
                'ordering': ['shape', 'position'],
                'constraints': [models.UniqueConstraint(fields=('shape', 'position'), name='shape_segment_place_once'), models.UniqueConstraint(fields=('shape', 'kind'), name='shape_segment_kind_once'), models.CheckConstraint(condition=models.Q(('ideal__gte', models.F('least')), ('most__gte', models.F('ideal')), ('most__gte', 1)), name='shape_segment_minutes_in_order')],
            },
        ),
        migrations.CreateModel(
            name='SheetChange',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('changed_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('lesson', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='sheet_change', to='lessons.lessonsession')),
            ],
            options={
                'ordering': ['lesson'],
            },
        ),
        migrations.CreateModel(
            name='SheetSegment',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveSmallIntegerField()),
                ('kind', models.CharField(blank=True, max_length=12)),
                ('title', models.CharField(blank=True, max_length=80)),
                ('minutes', models.PositiveSmallIntegerField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(240)])),
                ('left_out', models.BooleanField(default=False)),
                ('change', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='segments', to='lessons.sheetchange')),
                ('figure', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='+', to='curriculum.figure')),
                ('piece', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='curriculum.piece')),
            ],
            options={
                'ordering': ['change', 'position'],
                'constraints': [models.UniqueConstraint(fields=('change', 'position'), name='sheet_segment_place_once'), models.CheckConstraint(condition=models.Q(models.Q(('figure__isnull', True), ('kind', ''), models.Q(('title', ''), _negated=True)), models.Q(models.Q(('kind', ''), _negated=True), ('title', '')), _connector='OR'), name='sheet_segment_planned_or_own'), models.CheckConstraint(condition=models.Q(('minutes__isnull', True), ('minutes__range', (1, 240)), _connector='OR'), name='sheet_segment_keeps_a_minute')],
            },
        ),
        migrations.CreateModel(
            name='SignOff',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('role', models.CharField(choices=[('L', 'leader'), ('F', 'follower')], max_length=1)),
                ('day', models.DateField()),
                ('figure', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, to='curriculum.figure')),
                ('habit', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='sign_offs', to='lessons.requirement')),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='sign_offs', to=settings.AUTH_USER_MODEL)),
                ('signed_by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='sign_offs_given', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['person', 'figure', 'habit'],
                'constraints': [models.UniqueConstraint(fields=('person', 'figure', 'role'), name='sign_off_once'), models.UniqueConstraint(fields=('person', 'habit', 'role'), name='habit_signed_off_once'), models.CheckConstraint(condition=models.Q(models.Q(('figure__isnull', False), ('habit__isnull', True)), models.Q(('figure__isnull', True), ('habit__isnull', False)), _connector='OR'), name='sign_off_of_figure_or_habit')],
            },
        ),
        migrations.CreateModel(
            name='Standing',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('role', models.CharField(choices=[('L', 'leader'), ('F', 'follower')], max_length=1)),
                ('level', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, to='curriculum.level')),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='standings', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['person', 'level'],
                'constraints': [models.UniqueConstraint(fields=('person', 'level', 'role'), name='standing_once')],
            },
        ),
        migrations.CreateModel(
            name='TaughtBefore',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('course', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='taught_before', to='lessons.course')),
                ('figure', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, to='curriculum.figure')),
            ],
            options={
                'ordering': ['course', 'figure'],
                'constraints': [models.UniqueConstraint(fields=('course', 'figure'), name='taught_before_once')],
            },
        ),
        migrations.CreateModel(
            name='TaughtElsewhere',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('role', models.CharField(choices=[('L', 'leader'), ('F', 'follower')], max_length=1)),
                ('figure', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, to='curriculum.figure')),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='taught_elsewhere', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['person', 'figure'],
                'constraints': [models.UniqueConstraint(fields=('person', 'figure', 'role'), name='taught_elsewhere_once')],
            },
        ),
        migrations.CreateModel(
            name='TeachesNot',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('dance', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to='curriculum.dance')),
                ('figure', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='+', to='curriculum.figure')),
                ('level', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='+', to='curriculum.level')),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='teaches_not', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['person__name', 'dance__name', 'level__rank', 'figure__order', 'pk'],
                'constraints': [models.UniqueConstraint(condition=models.Q(('figure__isnull', True), ('level__isnull', True)), fields=('person', 'dance'), name='teaches_not_a_dance_once'), models.UniqueConstraint(fields=('person', 'level'), name='teaches_not_a_level_once'), models.UniqueConstraint(fields=('person', 'figure'), name='teaches_not_a_figure_once'), models.CheckConstraint(condition=models.Q(('level__isnull', True), ('figure__isnull', True), _connector='OR'), name='teaches_not_one_thing')],
            },
        ),
        migrations.CreateModel(
            name='TeachingPair',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('leads', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('lesson', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='teaching_pair', to='lessons.lessonsession')),
                ('shows', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['lesson'],
            },
        ),
        migrations.CreateModel(
            name='TermPlan',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(default='Draft', max_length=80)),
                ('status', models.CharField(choices=[('draft', 'draft'), ('published', 'published'), ('retired', 'retired')], default='draft', max_length=10)),
                ('version', models.PositiveIntegerField(default=1)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('published_at', models.DateTimeField(blank=True, null=True)),
                ('retired_at', models.DateTimeField(blank=True, null=True)),
                ('course', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='plans', to='lessons.course')),
                ('created_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='plans_made', to=settings.AUTH_USER_MODEL)),
                ('published_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='plans_published', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['course', '-created_at'],
                'constraints': [models.UniqueConstraint(condition=models.Q(('status', 'published')), fields=('course',), name='course_has_one_published_plan'), models.CheckConstraint(condition=models.Q(('status__in', ['draft', 'published', 'retired'])), name='plan_status_known')],
            },
        ),
        migrations.CreateModel(
            name='PlanSet',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('together', 'on one evening'), ('apart', 'never two on one evening')], max_length=8)),
                ('figures', models.ManyToManyField(related_name='sets', to='lessons.planfigure')),
                ('plan', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='sets', to='lessons.termplan')),
            ],
            options={
                'ordering': ['plan', 'pk'],
                'constraints': [models.CheckConstraint(condition=models.Q(('kind__in', ['together', 'apart'])), name='plan_set_kind_known')],
            },
        ),
        migrations.CreateModel(
            name='PlanRun',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('plan_version', models.PositiveIntegerField()),
                ('kind', models.CharField(choices=[('draft', 'a draft is planned'), ('again', 'the rest of the term is planned again')], default='draft', max_length=8)),
                ('occasion', models.CharField(blank=True, max_length=300)),
                ('status', models.CharField(choices=[('waiting', 'waiting for a worker'), ('running', 'running'), ('done', 'done'), ('stopped', 'stopped'), ('failed', 'failed')], default='waiting', max_length=8)),
                ('attempt', models.PositiveSmallIntegerField(default=0)),
                ('worker', models.CharField(blank=True, max_length=80)),
                ('heartbeat', models.DateTimeField(blank=True, null=True)),
                ('wish_to_stop', models.BooleanField(default=False)),
                ('seconds', models.PositiveSmallIntegerField(default=10)),
                ('progress', models.JSONField(blank=True, default=dict)),
                ('result', models.JSONField(blank=True, null=True)),
                ('failure', models.TextField(blank=True)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('ended_at', models.DateTimeField(blank=True, null=True)),
                ('answered', models.CharField(blank=True, max_length=9)),
                ('asked_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='plan_runs', to=settings.AUTH_USER_MODEL)),
                ('led_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='followers', to='lessons.planrun')),
                ('school_run', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='runs', to='lessons.schoolrun')),
                ('plan', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='runs', to='lessons.termplan')),
            ],
            options={
                'ordering': ['-created_at', '-pk'],
                'constraints': [models.UniqueConstraint(condition=models.Q(('status__in', ['waiting', 'running'])), fields=('plan',), name='one_run_of_a_plan_at_a_time'), models.CheckConstraint(condition=models.Q(('status__in', ['waiting', 'running', 'done', 'stopped', 'failed'])), name='run_status_known'), models.CheckConstraint(condition=models.Q(('kind__in', ['draft', 'again'])), name='run_kind_known')],
            },
        ),
        migrations.AddField(
            model_name='planfigure',
            name='plan',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='figures', to='lessons.termplan'),
        ),
        migrations.CreateModel(
            name='DraftStep',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField()),
                ('made_at', models.DateTimeField()),
                ('said', models.JSONField(default=list)),
                ('before', models.JSONField(default=dict)),
                ('taken_back', models.PositiveIntegerField(blank=True, null=True)),
                ('by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('taken_back_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('plan', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='steps', to='lessons.termplan')),
            ],
            options={
                'ordering': ['plan', '-version'],
                'constraints': [models.UniqueConstraint(fields=('plan', 'version'), name='draft_step_once_a_version')],
            },
        ),
        migrations.CreateModel(
            name='WallAddress',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('secret_hash', models.CharField(editable=False, max_length=64, unique=True)),
                ('ends_with_term', models.BooleanField(default=True, verbose_name='ends with the term')),
                ('made_at', models.DateTimeField()),
                ('withdrawn_at', models.DateTimeField(blank=True, null=True)),
                ('course', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='wall_addresses', to='lessons.course')),
                ('made_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='wall_addresses_made', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-made_at', '-pk'],
            },
        ),
        migrations.CreateModel(
            name='Away',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('first_day', models.DateField(verbose_name='first day away')),
                ('last_day', models.DateField(verbose_name='last day away')),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='away', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['first_day', 'pk'],
                'constraints': [models.CheckConstraint(condition=models.Q(('last_day__gte', models.F('first_day'))), name='away_ends_after_it_begins')],
            },
        ),
        migrations.CreateModel(
            name='CourseInstructor',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('course', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, to='lessons.course')),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['course', 'pk'],
                'constraints': [models.UniqueConstraint(fields=('course', 'person'), name='course_instructor_once')],
            },
        ),
        migrations.AddConstraint(
            model_name='lessoninstructor',
            constraint=models.UniqueConstraint(fields=('lesson', 'person'), name='lesson_instructor_once'),
        ),
        migrations.AddConstraint(
            model_name='privatefigure',
            constraint=models.UniqueConstraint(fields=('lesson', 'figure'), name='private_figure_once_a_lesson'),
        ),
        migrations.AddConstraint(
            model_name='planfigure',
            constraint=models.UniqueConstraint(fields=('plan', 'figure'), name='figure_once_in_a_plan'),
        ),
    ]
