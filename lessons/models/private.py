"""Private lessons: one person, their figures, their homework. They count for them, never for a course."""

from __future__ import annotations

import datetime as dt

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Exists, OuterRef, Q
from django.utils import timezone

from curriculum.models import Figure, FloorRole
from lessons.models.records import Outcome, Wellness
from lessons.rules.absence import why_not
from school.clock import today
from school.models import GIVES_PRIVATE_LESSONS, Person, PersonRole, Room


class PrivateLessonQuerySet(models.QuerySet["PrivateLesson"]):
    def for_staff(self, user: Person) -> PrivateLessonQuerySet:
        """The director reads all of them, an instructor their own."""
        return self if user.is_director else self.filter(instructor=user)

    def nobody_takes(self) -> PrivateLessonQuerySet:
        """To come, with nothing written yet, and whoever gives them has left the school, or gives none any
        more; the next first."""
        told = PrivateFigure.objects.filter(lesson=OuterRef("pk"), outcome__gt="")
        rows = self.filter(date__gte=today(), homework="").exclude(instructor__in=Person.objects.who_teach())
        return rows.exclude(Exists(told)).order_by("date", "start", "pk")

    def with_instructor(self) -> PrivateLessonQuerySet:
        """With who gives them, and whether they still do. No further query."""
        teaches = PersonRole.objects.held_by("instructor", GIVES_PRIVATE_LESSONS)
        return self.select_related("instructor").annotate(instructor_teaches=teaches)

    def for_page(self) -> PrivateLessonQuerySet:
        """With people, room and figures: two queries for any number."""
        worked_on = PrivateFigure.objects.select_related("figure__dance").order_by("pk")
        rows = self.with_instructor().select_related("person", "room")
        return rows.prefetch_related(models.Prefetch("worked_on", worked_on))


class PrivateLesson(models.Model):
    """Date and start are local. `version` rises with every change, so that a second writer is told."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="private_lessons")
    instructor = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="private_lessons_given")
    role = models.CharField("role on the floor", max_length=1, choices=FloorRole)
    date = models.DateField()
    start = models.TimeField()
    minutes = models.PositiveSmallIntegerField(
        default=45, validators=[MinValueValidator(1), MaxValueValidator(240)]
    )
    room = models.ForeignKey(Room, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    figures = models.ManyToManyField(Figure, through="PrivateFigure", related_name="private_lessons")
    homework = models.TextField(blank=True, max_length=2000)
    version = models.PositiveIntegerField(default=1)

    objects = PrivateLessonQuerySet.as_manager()

    class Meta:
        ordering = ["-date", "-start", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(minutes__gte=1), name="private_lesson_takes_a_minute"),
            models.CheckConstraint(condition=Q(role__in=FloorRole.values), name="private_lesson_role_known"),
            models.UniqueConstraint(
                fields=["instructor", "date", "start"],
                name="private_lesson_once_at_a_time",
                violation_error_message="This instructor gives a private lesson then already.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} on {self.date}"

    @property
    def why_nobody(self) -> str:
        """Why whoever was to give it does not; empty where they do, and of one that is over. Of a lesson that
        was read `with_instructor`."""
        return why_not(
            has_left=not self.instructor.is_active,
            teaches=self.instructor_teaches,
            is_away=False,
            is_over=self.date < today(),
        )

    @property
    def begins(self) -> dt.datetime:
        """The moment it begins, in the school's zone."""
        return dt.datetime.combine(self.date, self.start, tzinfo=timezone.get_current_timezone())

    @property
    def dances(self) -> list[str]:
        """What its figures are of, each once, by name. Reads the figures with their dances: fetch them."""
        return list(dict.fromkeys(row.figure.dance.name for row in self.worked_on.all()))

    @property
    def end(self) -> dt.time:
        """Local time at which the lesson ends, by the wall clock."""
        return (dt.datetime.combine(self.date, self.start) + dt.timedelta(minutes=self.minutes)).time()


class PrivateFigure(models.Model):
    """A figure of a private lesson: what became of it (empty before the lesson), how it went, a note."""

    lesson = models.ForeignKey(PrivateLesson, on_delete=models.CASCADE, related_name="worked_on")
    figure = models.ForeignKey(Figure, on_delete=models.PROTECT, related_name="+")
    outcome = models.CharField(max_length=12, choices=Outcome, blank=True)
    went = models.CharField("how it went", max_length=8, choices=Wellness, blank=True)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["lesson", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["lesson", "figure"], name="private_figure_once_a_lesson"),
            models.CheckConstraint(
                condition=Q(outcome__in=["", *Outcome.values]), name="private_outcome_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.figure_id} {self.outcome}"
