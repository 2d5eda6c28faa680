"""A small course with a plan, for tests of the pages about plans. Today is Wednesday 4 February 2026:
of weekly Tuesday lessons from 6 January, five have been and the sixth is to come."""

import datetime as dt
from dataclasses import dataclass

from lessons.models import Course, LessonSession, PlanSet, PlanStatus, TermPlan
from tests.factories import (
    CourseFactory,
    FigureFactory,
    LevelFactory,
    MeetingFactory,
    PassageFactory,
    PlanFactory,
    PlanFigureFactory,
    RecordFactory,
    RoutineFactory,
    weekly_lessons,
)

TODAY = "2026-02-04"


@dataclass
class Planned:
    course: Course
    lessons: list[LessonSession]
    plan: TermPlan

    def row(self, name):
        return self.plan.figures.get(figure__name=name)

    def dance(self, *names):
        """Give the course a routine of these figures in this order; the passages it dances, by figure."""
        ways = {row.figure.name: PassageFactory(figure=row.figure) for row in self.plan.figures.all()}
        level, row = self.course.levels.get(), [ways[name] for name in names]
        self.course.routine = RoutineFactory(level=level, name="the side", dances=row)
        self.course.save()
        return ways

    def put_set(self, kind, *names):
        """A set of the plan that stands before the test begins."""
        group = PlanSet.objects.create(plan=self.plan, kind=kind)
        group.figures.set([self.row(name) for name in names])
        return group

    def place_of(self, name):
        """Index of the lesson the plan introduces a figure in; None where it stands nowhere."""
        part = self.row(name).introductions.order_by("part").first()
        return None if part is None else self.lessons.index(part.lesson)


def planned(*, figures=None, lessons=11, status=PlanStatus.DRAFT, recorded=True, **course):
    """A course of `lessons` Tuesdays whose plan introduces each of `figures` (name -> index of its lesson, or
    None). Each figure needs the one before it. Lessons that have been are recorded as planned."""
    level = course.pop("level", None) or LevelFactory(most_new=1)
    made = CourseFactory(level=level, **course)
    sessions = weekly_lessons(made, lessons)
    MeetingFactory(course=made, weekday=1, room=sessions[0].room)
    plan = PlanFactory(course=made, status=status)
    needs = []
    for name, index in ({"box": 0, "turn": 5, "whisk": 6} if figures is None else figures).items():
        figure = FigureFactory(level=level, name=name, needs=needs, minutes_to_introduce=12)
        needs = [figure]
        PlanFigureFactory(plan=plan, figure=figure, new_in=None if index is None else sessions[index])
    if recorded:
        record_as_planned(plan, sessions)
    return Planned(made, sessions, plan)


def record_as_planned(plan, lessons):
    for lesson in lessons:
        if lesson.date < dt.date.fromisoformat(TODAY):
            new = [row.figure for row in plan.figures.filter(introductions__lesson=lesson)]
            RecordFactory(lesson=lesson, taught=dict.fromkeys(new, "introduced"))


def as_person(client, person):
    client.force_login(person)
    return client
