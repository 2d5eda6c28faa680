"""The demo school with one more of everything that it lacks, for tests that walk every page."""

import datetime as dt

from curriculum import routine_history
from curriculum.history import keep
from curriculum.models import Figure, Hold, Rhythm, StepChart
from lessons.actions.again import propose_again
from lessons.actions.changes import cancel_lesson
from lessons.actions.floor import keep_apart
from lessons.actions.plans import start_draft
from lessons.actions.runs import start_run
from lessons.actions.school_runs import plan_the_school
from lessons.demo.load import load_demo_school
from lessons.models import (
    Away,
    Course,
    LessonSession,
    LessonShape,
    Milestone,
    PrivateLesson,
    TeachesNot,
    TermPlan,
)
from lessons.tasks import run_plan
from school.models import Closure, Person
from tests.factories import (
    CatchUpFactory,
    CoverLinkFactory,
    PersonFactory,
    PieceFactory,
    PrivateLessonFactory,
    calendar_address,
    wall_address,
)

STORY_DAY = dt.date(2026, 3, 4)
WEEK = dt.timedelta(weeks=1)


def whole_school():
    """Loads the school on its story's day. Gives the people by role, and the keys of what addresses name, by
    the words of the walk in tests/test_access.py; a list where several of a kind are worth looking at."""
    load_demo_school(today=STORY_DAY)
    people = {role: Person.objects.get(username=role) for role in ("student", "instructor", "director")}
    course = Course.objects.get(key="WB1")
    return {
        "people": {"anonymous": None, **people},
        # no object, but the way in which a spreadsheet goes out
        "csv": "csv",
        **of_people(people, course),
        **of_the_dance(people, course),
        **of_lessons(people, course),
        **of_plans(people, course),
    }


def of_people(people, course):
    somebody = PersonFactory(roles=["student"], name="Wystan Orrell")
    away = {"first_day": STORY_DAY + 3 * WEEK, "last_day": STORY_DAY + 4 * WEEK}
    return {
        "person": [people["student"].pk, people["instructor"].pk, somebody.pk],
        "student": people["student"].pk,
        "private": [
            PrivateLessonFactory(
                person=people["student"], instructor=people["instructor"], date=STORY_DAY + WEEK
            ).pk,
            PrivateLesson.objects.filter(instructor=people["instructor"])[0].pk,
        ],
        "away": Away.objects.create(person=people["instructor"], **away).pk,
        "teaches_not": TeachesNot.objects.create(person=people["instructor"], dance=course.dance).pk,
        "calendar_secret": calendar_address("of a calendar", people["student"]),
    }


def of_the_dance(people, course):
    figures = Figure.objects.filter(dance=course.dance)
    turn = figures.get(name="natural turn")
    keep([figure.pk for figure in figures], by=people["director"])
    routine_history.keep([course.routine_id], by=people["director"])
    return {
        "dance": course.dance_id,
        "level": turn.level_id,
        "figure": [turn.pk, figures.get(name="frame").pk],
        "needed": turn.prerequisites.all()[0].needs_id,
        "chart": StepChart.objects.filter(figure=turn)[0].pk,
        "routine": course.routine_id,
        "piece": PieceFactory(dance=course.dance).pk,
        "hold": Hold.objects.filter(dance=course.dance)[0].pk,
        "rhythm": Rhythm.objects.filter(dance=course.dance)[0].pk,
    }


def of_lessons(people, course):
    lessons = list(course.lessons.in_order())
    been = [lesson for lesson in lessons if lesson.date < STORY_DAY]
    coming = [lesson for lesson in lessons if lesson.date >= STORY_DAY]
    cancel_lesson(lesson=coming[-1], because="The hall is being painted.", by=people["director"])
    tonight = LessonSession.objects.get(date=STORY_DAY, course__key="CB")
    one, other = (enrolment.person for enrolment in course.enrolments.all()[:2])
    return {
        "term": course.term_id,
        "course": [course.pk, tonight.course_id],
        "room": coming[0].room_id,
        "closure": Closure.objects.all()[0].pk,
        "enrolment": course.enrolments.all()[0].pk,
        "shape": LessonShape.objects.get(is_default=True).pk,
        "lesson": [tonight.pk, coming[0].pk, been[0].pk, coming[-1].pk],
        "pair": keep_apart(one=one, other=other, by=people["director"]).pk,
        "milestone": Milestone.objects.create(course=course, name="tea dance", day=coming[-2].date).pk,
        "cover_link": CoverLinkFactory(lesson=coming[0], secret="of a cover").pk,
        "cover_token": "of a cover",
        "catch_up": CatchUpFactory(lesson=coming[0], missed=been[0], person=people["student"]).pk,
        "wall": wall_address(course, "of a wall").pk,
        "wall_secret": "of a wall",
    }


def of_plans(people, course):
    director = people["director"]
    published = course.plans.get(status="published")
    draft, impossible = (start_draft(course=course, by=director) for _ in range(2))
    soon = course.lessons.filter(date__gte=STORY_DAY).in_order()[0]
    impossible.figures.update(latest=soon)
    return {"plan": [draft.pk, published.pk], "other_plan": impossible.pk}


def planning_runs(cast):
    """Runs that found a plan, found none, and planned the rest of a term again; and one of the whole school
    that waits for a worker."""
    director = cast["people"]["director"]
    drafts = [TermPlan.objects.get(pk=key) for key in (cast["plan"][0], cast["other_plan"])]
    runs = [start_run(plan=plan, seconds=2, by=director) for plan in drafts]
    runs.append(propose_again(course=Course.objects.get(key="CB"), by=director))
    for run in runs:
        run_plan(run.pk, worker="a test's")
    school_run = plan_the_school(term=drafts[0].course.term, by=director)
    return {"run": [run.pk for run in runs], "school_run": school_run.pk}
