"""Courses: one group on one dance's levels for one term, with its meetings, people and milestones."""

from __future__ import annotations

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q

from curriculum.models import Dance, Figure, FloorRole, Level, Routine
from lessons.models.shapes import LessonShape
from lessons.rules.absence import InFront, why_not
from school.models import TAKES_LESSONS, Person, PersonRole, Role, Room, Term


class CourseKind(models.TextChoices):
    GROUP = "group", "a fixed group"
    DROP_IN = "drop_in", "drop-in"


class CourseGroup(models.Model):
    """Parallel courses, kept in step so that a missed lesson can be made up in the other."""

    name = models.CharField(max_length=60, unique=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class CourseQuerySet(models.QuerySet["Course"]):
    def for_user(self, user: Person) -> CourseQuerySet:
        """Courses `user` may read: staff all of them, a student those they are or were enrolled in."""
        if user.roles & {Role.DIRECTOR, Role.INSTRUCTOR}:
            return self
        if Role.STUDENT in user.roles:
            return self.filter(enrolments__person=user, enrolments__waiting=False).distinct()
        return self.none()

    def taught_by(self, person: Person) -> CourseQuerySet:
        """Courses `person` is an instructor of (a cover for one lesson does not count)."""
        return self.filter(courseinstructor__person=person).distinct()

    def for_page(self) -> CourseQuerySet:
        """With term, dance, levels, meetings and instructors: four queries for any number of courses."""
        return self.select_related("term", "dance", "group", "shape").prefetch_related(
            models.Prefetch("levels", Level.objects.order_by("rank")),
            models.Prefetch("meetings", Meeting.objects.select_related("room").order_by("weekday", "start")),
            models.Prefetch("courseinstructor_set", CourseInstructor.objects.with_person().order_by("pk")),
        )


class Course(models.Model):
    term = models.ForeignKey(Term, on_delete=models.PROTECT, related_name="courses")
    key = models.SlugField(max_length=20, help_text="short name used on the command line, e.g. WB1")
    name = models.CharField(max_length=80)
    dance = models.ForeignKey(Dance, on_delete=models.PROTECT, related_name="courses")
    levels = models.ManyToManyField(Level, through="CourseLevel", related_name="courses")
    kind = models.CharField(max_length=8, choices=CourseKind, default=CourseKind.GROUP)
    group = models.ForeignKey(
        CourseGroup, on_delete=models.SET_NULL, null=True, blank=True, related_name="courses"
    )
    continues = models.ForeignKey(
        "self", on_delete=models.SET_NULL, null=True, blank=True, related_name="continued_by"
    )
    routine = models.ForeignKey(
        Routine, on_delete=models.SET_NULL, null=True, blank=True, related_name="courses"
    )
    shape = models.ForeignKey(
        LessonShape, on_delete=models.PROTECT, null=True, blank=True, related_name="courses"
    )
    interval_weeks = models.PositiveSmallIntegerField(
        "every how many weeks", default=1, validators=[MinValueValidator(1)]
    )
    places_leaders = models.PositiveSmallIntegerField("places for leaders", default=8)
    places_followers = models.PositiveSmallIntegerField("places for followers", default=8)
    allowed_difference = models.PositiveSmallIntegerField("allowed difference between roles", default=2)
    first_lesson = models.DateField("first lesson on or after", null=True, blank=True)
    newcomers_until = models.DateField("newcomers may join until", null=True, blank=True)
    drop_ins_welcome = models.BooleanField(default=False)
    plan_open = models.BooleanField("students may read what is planned", default=True)
    most_new = models.PositiveSmallIntegerField(
        "most new figures a lesson",
        null=True,
        blank=True,
        validators=[MinValueValidator(1)],
        help_text="empty: as the level says",
    )
    new_in_last_lesson = models.BooleanField("new figures in the last lesson too", default=False)
    version = models.PositiveIntegerField(default=1, editable=False)

    objects = CourseQuerySet.as_manager()

    class Meta:
        ordering = ["term", "key"]
        constraints = [
            models.UniqueConstraint(fields=["term", "key"], name="course_key_once_a_term"),
            models.CheckConstraint(condition=Q(interval_weeks__gte=1), name="course_meets_every_some_weeks"),
            models.CheckConstraint(
                condition=~Q(continues=F("pk")) | Q(continues__isnull=True), name="course_not_after_itself"
            ),
            models.CheckConstraint(
                condition=Q(most_new__isnull=True) | Q(most_new__gte=1), name="course_allows_a_new_figure"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def front(self) -> InFront[Person]:
        """Of those named to teach it, who takes its lessons to come and who has left or is an instructor no
        more. Of a course that came with its instructors; no query."""
        return InFront.of([(row.person, row.why_not) for row in self.courseinstructor_set.all()])


class CourseLevel(models.Model):
    course = models.ForeignKey(Course, on_delete=models.CASCADE)
    level = models.ForeignKey(Level, on_delete=models.PROTECT)

    class Meta:
        ordering = ["course", "level__rank"]
        constraints = [models.UniqueConstraint(fields=["course", "level"], name="course_level_once")]

    def __str__(self) -> str:
        return f"{self.course_id} on {self.level_id}"


class InFrontQuerySet(models.QuerySet):
    """Rows that name a `person` to stand in front of a course, or of one lesson."""

    def with_person(self) -> InFrontQuerySet:
        """With the person, and whether they are an instructor still. No further query."""
        teaches = PersonRole.objects.held_by("person", TAKES_LESSONS)
        return self.select_related("person").annotate(teaches=teaches)


class CourseInstructor(models.Model):
    course = models.ForeignKey(Course, on_delete=models.CASCADE)
    person = models.ForeignKey(Person, on_delete=models.PROTECT)

    objects = InFrontQuerySet.as_manager()

    class Meta:
        ordering = ["course", "pk"]
        constraints = [models.UniqueConstraint(fields=["course", "person"], name="course_instructor_once")]

    def __str__(self) -> str:
        return f"{self.person_id} teaches {self.course_id}"

    @property
    def why_not(self) -> str:
        """Why they take no lesson to come; empty where they do. Of a row that was read `with_person`."""
        return why_not(has_left=not self.person.is_active, teaches=self.teaches, is_away=False, is_over=False)


class Weekday(models.IntegerChoices):
    MONDAY = 0, "Monday"
    TUESDAY = 1, "Tuesday"
    WEDNESDAY = 2, "Wednesday"
    THURSDAY = 3, "Thursday"
    FRIDAY = 4, "Friday"
    SATURDAY = 5, "Saturday"
    SUNDAY = 6, "Sunday"


class Meeting(models.Model):
    """A weekday and a local time at which a course meets."""

    course = models.ForeignKey(Course, on_delete=models.CASCADE, related_name="meetings")
    weekday = models.PositiveSmallIntegerField(choices=Weekday)
    start = models.TimeField()
    minutes = models.PositiveSmallIntegerField(default=60, validators=[MinValueValidator(1)])
    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="meetings")

    class Meta:
        ordering = ["course", "weekday", "start"]
        constraints = [
            models.UniqueConstraint(fields=["course", "weekday", "start"], name="meeting_once"),
            models.CheckConstraint(condition=Q(minutes__gte=1), name="meeting_takes_a_minute"),
            models.CheckConstraint(condition=Q(weekday__lte=6), name="meeting_on_a_weekday"),
        ]

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {self.start:%H:%M}"


class Enrolment(models.Model):
    """A person in a course, in a role on the floor, from a day until they leave; or on the waiting list."""

    course = models.ForeignKey(Course, on_delete=models.CASCADE, related_name="enrolments")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="enrolments")
    role = models.CharField(max_length=1, choices=FloorRole)
    dances_both = models.BooleanField(default=False)
    joined = models.DateField()
    left = models.DateField(null=True, blank=True)
    waiting = models.BooleanField("on the waiting list", default=False)
    # Booked as a couple: each names the other.
    couple_with = models.OneToOneField(
        "self", on_delete=models.SET_NULL, null=True, blank=True, related_name="+", editable=False
    )

    class Meta:
        ordering = ["course", "person__name"]
        constraints = [
            models.UniqueConstraint(
                fields=["course", "person"],
                condition=Q(left__isnull=True),
                name="enrolled_once_at_a_time",
                violation_error_message="This person is already in the course.",
            ),
            models.CheckConstraint(
                condition=Q(left__isnull=True) | Q(left__gte=F("joined")),
                name="enrolment_ends_after_it_begins",
            ),
            models.CheckConstraint(condition=Q(role__in=FloorRole.values), name="enrolment_role_known"),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} in {self.course_id}"


class TaughtBefore(models.Model):
    """Ticked by the director: taught to this group before the school began with Freefoot."""

    course = models.ForeignKey(Course, on_delete=models.CASCADE, related_name="taught_before")
    figure = models.ForeignKey(Figure, on_delete=models.CASCADE)

    class Meta:
        ordering = ["course", "figure"]
        constraints = [models.UniqueConstraint(fields=["course", "figure"], name="taught_before_once")]

    def __str__(self) -> str:
        return f"{self.course_id} knows {self.figure_id}"


class Milestone(models.Model):
    """A date by which a routine or a set of figures must be taught to a course."""

    course = models.ForeignKey(Course, on_delete=models.CASCADE, related_name="milestones")
    name = models.CharField(max_length=80)
    day = models.DateField()
    routine = models.ForeignKey(Routine, on_delete=models.CASCADE, null=True, blank=True)
    figures = models.ManyToManyField(Figure, blank=True)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["day", "pk"]

    def __str__(self) -> str:
        return self.name
