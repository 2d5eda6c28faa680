import django.core.validators
import django.db.models.deletion
from decimal import Decimal
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    replaces = [('curriculum', '0001_initial'), ('curriculum', '0002_figure_history'), ('curriculum', '0003_open_form'), ('curriculum', '0004_music'), ('curriculum', '0005_routine_history')]

    initial = True

    dependencies = [
        ('school', '0001_squashed_0008_what_is_kept_of_a_secret_has_one_name'),
    ]

    operations = [
        migrations.CreateModel(
            name='Dance',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=80, unique=True)),
                ('beats_per_bar', models.PositiveSmallIntegerField(default=4, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(12)])),
                ('beat_unit', models.PositiveSmallIntegerField(default=4, help_text='the 4 of 3/4')),
                ('bars_per_phrase', models.PositiveSmallIntegerField(default=8)),
                ('slowest_bars_per_minute', models.DecimalField(blank=True, decimal_places=1, max_digits=5, null=True)),
                ('quickest_bars_per_minute', models.DecimalField(blank=True, decimal_places=1, max_digits=5, null=True)),
                ('floor_use', models.CharField(choices=[('travels', 'travels round the room'), ('slot', 'on a slot'), ('spot', 'on the spot')], default='spot', max_length=8)),
                ('note', models.TextField(blank=True)),
            ],
            options={
                'ordering': ['name'],
                'constraints': [models.CheckConstraint(condition=models.Q(('beats_per_bar__gte', 1)), name='dance_bar_has_beats'), models.CheckConstraint(condition=models.Q(('floor_use__in', ['travels', 'slot', 'spot'])), name='dance_floor_use_known'), models.CheckConstraint(condition=models.Q(('slowest_bars_per_minute__isnull', True), ('quickest_bars_per_minute__isnull', True), ('quickest_bars_per_minute__gte', models.F('slowest_bars_per_minute')), _connector='OR'), name='dance_tempo_range_in_order')],
            },
        ),
        migrations.CreateModel(
            name='Figure',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('figure', 'figure'), ('technique', 'technique')], default='figure', max_length=10)),
                ('name', models.CharField(help_text='the main name; FigureName holds it too, with the others', max_length=80)),
                ('order', models.PositiveIntegerField(default=0, help_text='place in the syllabus, with gaps')),
                ('ticks', models.PositiveIntegerField(blank=True, help_text='12 to the beat; empty for a technique', null=True, verbose_name='length')),
                ('minutes_to_introduce', models.PositiveSmallIntegerField(validators=[django.core.validators.MinValueValidator(1)])),
                ('minutes_to_review', models.PositiveSmallIntegerField(default=0)),
                ('in_a_row', models.PositiveSmallIntegerField(default=1, validators=[django.core.validators.MinValueValidator(1)], verbose_name='bears in a row')),
                ('lead', models.TextField(blank=True, verbose_name='what leads it')),
                ('response', models.TextField(blank=True, verbose_name='what answers')),
                ('notes', models.TextField(blank=True)),
                ('version', models.PositiveIntegerField(default=1)),
                ('dance', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='figures', to='curriculum.dance')),
                ('easier_form', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='harder_forms', to='curriculum.figure')),
                ('extension', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='grows_out_of', to='curriculum.figure')),
                ('open_form', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='closed_forms', to='curriculum.figure')),
            ],
            options={
                'ordering': ['dance', 'level__rank', 'order', 'pk'],
                'constraints': [models.CheckConstraint(condition=models.Q(('minutes_to_introduce__gte', 1)), name='figure_takes_a_minute'), models.CheckConstraint(condition=models.Q(('ticks__isnull', True), ('ticks__gte', 1), _connector='OR'), name='figure_has_length'), models.CheckConstraint(condition=models.Q(('in_a_row__gte', 1)), name='figure_bears_one_in_a_row'), models.CheckConstraint(condition=models.Q(('kind__in', ['figure', 'technique'])), name='figure_kind_known'), models.CheckConstraint(condition=models.Q(models.Q(('extension', models.F('pk')), _negated=True), ('extension__isnull', True), _connector='OR'), name='figure_not_its_own_extension'), models.CheckConstraint(condition=models.Q(models.Q(('easier_form', models.F('pk')), _negated=True), ('easier_form__isnull', True), _connector='OR'), name='figure_not_its_own_easier_form'), models.CheckConstraint(condition=models.Q(models.Q(('open_form', models.F('pk')), _negated=True), ('open_form__isnull', True), _connector='OR'), name='figure_not_its_own_open_form')],
            },
        ),
        migrations.CreateModel(
            name='Fault',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveSmallIntegerField(default=0)),
                ('fault', models.CharField(max_length=200)),
                ('remedy', models.CharField(max_length=200)),
                ('figure', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='faults', to='curriculum.figure')),
            ],
            options={
                'ordering': ['figure', 'position', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='Caution',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveSmallIntegerField(default=0)),
                ('text', models.CharField(max_length=300)),
                ('figure', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='cautions', to='curriculum.figure')),
            ],
            options={
                'ordering': ['figure', 'position', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='Hold',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('key', models.CharField(max_length=12)),
                ('name', models.CharField(max_length=60)),
                ('facing', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('same_foot', models.BooleanField(default=False, verbose_name='both may be on the same foot')),
                ('dance', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='holds', to='curriculum.dance')),
            ],
            options={
                'ordering': ['dance', 'pk'],
                'constraints': [models.UniqueConstraint(fields=('dance', 'key'), name='hold_key_once_a_dance'), models.UniqueConstraint(fields=('dance', 'name'), name='hold_name_once_a_dance'), models.CheckConstraint(condition=models.Q(('facing__isnull', True), ('facing__lte', 7), _connector='OR'), name='hold_facing_in_eighths')],
            },
        ),
        migrations.CreateModel(
            name='HoldChange',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('hold', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='changes', to='curriculum.hold')),
                ('into', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='changes_from', to='curriculum.hold')),
            ],
            options={
                'ordering': ['hold', 'into'],
                'constraints': [models.UniqueConstraint(fields=('hold', 'into'), name='hold_change_once'), models.CheckConstraint(condition=models.Q(('hold', models.F('into')), _negated=True), name='hold_changes_into_another')],
            },
        ),
        migrations.AddField(
            model_name='hold',
            name='turns_into',
            field=models.ManyToManyField(related_name='turned_into_from', through='curriculum.HoldChange', to='curriculum.hold'),
        ),
        migrations.CreateModel(
            name='Level',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('rank', models.PositiveSmallIntegerField()),
                ('name', models.CharField(max_length=60)),
                ('most_new', models.PositiveSmallIntegerField(default=2, validators=[django.core.validators.MinValueValidator(1)], verbose_name='most new figures an evening')),
                ('dance', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='levels', to='curriculum.dance')),
            ],
            options={
                'ordering': ['dance', 'rank'],
                'constraints': [models.UniqueConstraint(fields=('dance', 'rank'), name='level_rank_once_a_dance'), models.UniqueConstraint(fields=('dance', 'name'), name='level_name_once_a_dance'), models.CheckConstraint(condition=models.Q(('rank__gte', 1)), name='level_rank_from_one'), models.CheckConstraint(condition=models.Q(('most_new__gte', 1)), name='level_allows_a_new_figure')],
            },
        ),
        migrations.AddField(
            model_name='figure',
            name='level',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='figures', to='curriculum.level'),
        ),
        migrations.CreateModel(
            name='Passage',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveSmallIntegerField(default=0)),
                ('label', models.CharField(blank=True, help_text='e.g. 4 to 6', max_length=40)),
                ('ticks', models.PositiveIntegerField(blank=True, help_text='empty: as the figure', null=True, verbose_name='length')),
                ('entry_foot', models.CharField(blank=True, choices=[('L', 'left'), ('R', 'right')], max_length=1)),
                ('entry_place', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('exit_foot', models.CharField(blank=True, choices=[('L', 'left'), ('R', 'right')], max_length=1)),
                ('exit_place', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('give', models.PositiveSmallIntegerField(default=0, verbose_name='may be turned more or less by')),
                ('entry_hold', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='passages_in', to='curriculum.hold')),
                ('exit_hold', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='passages_out', to='curriculum.hold')),
                ('figure', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='passages', to='curriculum.figure')),
            ],
            options={
                'ordering': ['figure', 'position', 'pk'],
                'constraints': [models.UniqueConstraint(fields=('figure', 'position'), name='passage_place_once'), models.CheckConstraint(condition=models.Q(('ticks__isnull', True), ('ticks__gte', 1), _connector='OR'), name='passage_has_length'), models.CheckConstraint(condition=models.Q(models.Q(('entry_place__isnull', True), ('entry_place__lte', 7), _connector='OR'), models.Q(('exit_place__isnull', True), ('exit_place__lte', 7), _connector='OR')), name='passage_place_known'), models.CheckConstraint(condition=models.Q(('give__lte', 4)), name='passage_give_in_eighths')],
            },
        ),
        migrations.CreateModel(
            name='Piece',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('title', models.CharField(max_length=120)),
                ('beats_per_minute', models.DecimalField(decimal_places=1, max_digits=4, validators=[django.core.validators.MinValueValidator(Decimal('30')), django.core.validators.MaxValueValidator(Decimal('400'))])),
                ('seconds', models.PositiveSmallIntegerField(validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(1800)], verbose_name='length in seconds')),
                ('intro_beats', models.PositiveSmallIntegerField(default=0, verbose_name='beats before the dancing begins')),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('dance', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='pieces', to='curriculum.dance')),
            ],
            options={
                'verbose_name_plural': 'pieces of music',
                'ordering': ['dance', 'title'],
                'constraints': [models.UniqueConstraint(fields=('dance', 'title'), name='piece_title_once_a_dance'), models.CheckConstraint(condition=models.Q(('beats_per_minute__gt', 0)), name='piece_has_a_tempo'), models.CheckConstraint(condition=models.Q(('seconds__gte', 1)), name='piece_lasts')],
            },
        ),
        migrations.CreateModel(
            name='Prerequisite',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('same_evening', models.BooleanField(default=False, verbose_name='may share an evening')),
                ('figure', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='prerequisites', to='curriculum.figure')),
                ('needs', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='opens', to='curriculum.figure')),
            ],
            options={
                'ordering': ['figure', 'pk'],
                'constraints': [models.UniqueConstraint(fields=('figure', 'needs'), name='prerequisite_once'), models.CheckConstraint(condition=models.Q(('figure', models.F('needs')), _negated=True), name='figure_does_not_need_itself', violation_error_message='A figure cannot need itself.')],
            },
        ),
        migrations.CreateModel(
            name='Rhythm',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=60)),
                ('begins_on_beat', models.PositiveSmallIntegerField(default=1)),
                ('source', models.CharField(blank=True, max_length=200)),
                ('dance', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='rhythms', to='curriculum.dance')),
            ],
            options={
                'ordering': ['dance', 'name'],
                'constraints': [models.UniqueConstraint(fields=('dance', 'name'), name='rhythm_name_once_a_dance'), models.CheckConstraint(condition=models.Q(('begins_on_beat__gte', 1)), name='rhythm_begins_on_a_beat')],
            },
        ),
        migrations.CreateModel(
            name='RhythmCount',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveSmallIntegerField()),
                ('count', models.CharField(max_length=8)),
                ('ticks', models.PositiveSmallIntegerField(help_text='12 to the beat')),
                ('rhythm', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='counts', to='curriculum.rhythm')),
            ],
            options={
                'ordering': ['rhythm', 'position'],
                'constraints': [models.UniqueConstraint(fields=('rhythm', 'position'), name='rhythm_count_place_once'), models.CheckConstraint(condition=models.Q(('ticks__gte', 1)), name='rhythm_count_lasts')],
            },
        ),
        migrations.CreateModel(
            name='Routine',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=80)),
                ('note', models.TextField(blank=True)),
                ('version', models.PositiveIntegerField(default=1)),
                ('continues', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='continued_by', to='curriculum.routine')),
                ('level', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='routines', to='curriculum.level')),
            ],
            options={
                'ordering': ['level__dance', 'level__rank', 'name'],
                'constraints': [models.UniqueConstraint(fields=('level', 'name'), name='routine_name_once_a_level'), models.CheckConstraint(condition=models.Q(models.Q(('continues', models.F('pk')), _negated=True), ('continues__isnull', True), _connector='OR'), name='routine_does_not_continue_itself')],
            },
        ),
        migrations.CreateModel(
            name='RoutineItem',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveIntegerField()),
                ('is_corner', models.BooleanField(default=False)),
                ('passage', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, to='curriculum.passage')),
                ('routine', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='items', to='curriculum.routine')),
            ],
            options={
                'ordering': ['routine', 'position'],
                'constraints': [models.UniqueConstraint(fields=('routine', 'position'), name='routine_place_once'), models.CheckConstraint(condition=models.Q(models.Q(('is_corner', True), ('passage__isnull', True)), models.Q(('is_corner', False), ('passage__isnull', False)), _connector='OR'), name='routine_item_is_passage_or_corner')],
            },
        ),
        migrations.CreateModel(
            name='RoutineVersion',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField()),
                ('at', models.DateTimeField()),
                ('snapshot', models.JSONField()),
                ('brings_back', models.PositiveIntegerField(blank=True, null=True)),
                ('by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('routine', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='versions', to='curriculum.routine')),
            ],
            options={
                'ordering': ['routine', '-version'],
                'constraints': [models.UniqueConstraint(fields=('routine', 'version'), name='routine_version_once')],
            },
        ),
        migrations.CreateModel(
            name='StepChart',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(blank=True, max_length=80)),
                ('note', models.TextField(blank=True)),
                ('figure', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='charts', to='curriculum.figure')),
            ],
            options={
                'ordering': ['figure', 'pk'],
            },
        ),
        migrations.AddField(
            model_name='passage',
            name='chart',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='passages', to='curriculum.stepchart'),
        ),
        migrations.CreateModel(
            name='ChartStep',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('role', models.CharField(choices=[('L', 'leader'), ('F', 'follower')], max_length=1)),
                ('position', models.PositiveSmallIntegerField()),
                ('count', models.CharField(max_length=8)),
                ('ticks', models.PositiveSmallIntegerField(help_text='12 to the beat')),
                ('foot', models.CharField(blank=True, choices=[('L', 'left'), ('R', 'right')], max_length=1)),
                ('action', models.CharField(max_length=20)),
                ('direction', models.CharField(blank=True, max_length=60)),
                ('turn', models.SmallIntegerField(default=0)),
                ('cue', models.CharField(blank=True, max_length=200)),
                ('hold', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, to='curriculum.hold')),
                ('chart', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='steps', to='curriculum.stepchart')),
            ],
            options={
                'ordering': ['chart', 'role', 'position'],
                'constraints': [models.UniqueConstraint(fields=('chart', 'role', 'position'), name='chart_step_place_once'), models.CheckConstraint(condition=models.Q(('ticks__gte', 1)), name='chart_step_lasts'), models.CheckConstraint(condition=models.Q(('role__in', ['L', 'F'])), name='chart_step_role_known')],
            },
        ),
        migrations.CreateModel(
            name='FigureName',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=80)),
                ('key', models.CharField(editable=False, max_length=160)),
                ('is_main', models.BooleanField(default=False)),
                ('dance', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='figure_names', to='curriculum.dance')),
                ('figure', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='names', to='curriculum.figure')),
            ],
            options={
                'ordering': ['figure', '-is_main', 'pk'],
                'constraints': [models.UniqueConstraint(fields=('dance', 'key'), name='figure_name_once_a_dance', violation_error_message='This dance already has a figure of that name.'), models.UniqueConstraint(condition=models.Q(('is_main', True)), fields=('figure',), name='figure_has_one_main_name'), models.CheckConstraint(condition=models.Q(('key', ''), _negated=True), name='figure_name_says_something')],
            },
        ),
        migrations.CreateModel(
            name='FigureVersion',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField()),
                ('at', models.DateTimeField()),
                ('snapshot', models.JSONField()),
                ('by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('figure', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='versions', to='curriculum.figure')),
            ],
            options={
                'ordering': ['figure', '-version'],
                'constraints': [models.UniqueConstraint(fields=('figure', 'version'), name='figure_version_once')],
            },
        ),
    ]
