import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("lessons", "0013_catch_up_lessons"),
        ("school", "0004_nobody_asks_who_signed_in_last"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name="planrun",
            name="kind",
            field=models.CharField(
                choices=[("draft", "a draft is planned"), ("again", "the rest of the term is planned again")],
                default="draft",
                max_length=8,
            ),
        ),
        migrations.AddField(
            model_name="planrun",
            name="led_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.SET_NULL,
                related_name="followers",
                to="lessons.planrun",
            ),
        ),
        migrations.AddField(
            model_name="planrun",
            name="occasion",
            field=models.CharField(blank=True, max_length=300),
        ),
        migrations.AlterField(
            model_name="planrun",
            name="answered",
            field=models.CharField(blank=True, max_length=9),
        ),
        migrations.CreateModel(
            name="SchoolRun",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                (
                    "asked_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "term",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="school_runs",
                        to="school.term",
                    ),
                ),
            ],
            options={
                "ordering": ["-created_at", "-pk"],
            },
        ),
        migrations.AddField(
            model_name="planrun",
            name="school_run",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.SET_NULL,
                related_name="runs",
                to="lessons.schoolrun",
            ),
        ),
        migrations.AddConstraint(
            model_name="planrun",
            constraint=models.CheckConstraint(
                condition=models.Q(("kind__in", ["draft", "again"])), name="run_kind_known"
            ),
        ),
    ]
