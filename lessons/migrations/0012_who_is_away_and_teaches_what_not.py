import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("curriculum", "0005_routine_history"),
        ("lessons", "0011_own_notes_and_open_plans"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Away",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("first_day", models.DateField(verbose_name="first day away")),
                ("last_day", models.DateField(verbose_name="last day away")),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="away",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["first_day", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("last_day__gte", models.F("first_day"))),
                        name="away_ends_after_it_begins",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="TeachesNot",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "dance",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="+", to="curriculum.dance"
                    ),
                ),
                (
                    "figure",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
                        to="curriculum.figure",
                    ),
                ),
                (
                    "level",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
                        to="curriculum.level",
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="teaches_not",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["person__name", "dance__name", "level__rank", "figure__order", "pk"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("figure__isnull", True), ("level__isnull", True)),
                        fields=("person", "dance"),
                        name="teaches_not_a_dance_once",
                    ),
                    models.UniqueConstraint(fields=("person", "level"), name="teaches_not_a_level_once"),
                    models.UniqueConstraint(fields=("person", "figure"), name="teaches_not_a_figure_once"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("level__isnull", True), ("figure__isnull", True), _connector="OR"
                        ),
                        name="teaches_not_one_thing",
                    ),
                ],
            },
        ),
    ]
