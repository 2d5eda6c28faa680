"""Who may do what: every address of the site is walked with every role, by reading and by writing.

The table of access_walk.py is written by hand and not made from the one in the project, so that a row that
lets in too many fails. A new address fails until it has a line there.
"""

import pytest
from django.test import Client, override_settings
from django.urls import get_resolver, reverse

from curriculum import routine_history
from curriculum.history import keep
from curriculum.models import Rhythm, StepChart
from lessons.models import Away, Milestone, PlanRun, SchoolRun, TeachesNot
from school.access import ACCESS, Door
from tests.access_walk import WALK, WHO
from tests.factories import (
    CatchUpFactory,
    ClosureFactory,
    CourseFactory,
    CoverLinkFactory,
    EnrolmentFactory,
    FigureFactory,
    HelperCallFactory,
    HoldFactory,
    LessonShapeFactory,
    MeetingFactory,
    PassageFactory,
    PersonFactory,
    PieceFactory,
    PlanFactory,
    PlanFigureFactory,
    PrivateLessonFactory,
    RoomFactory,
    RoutineFactory,
    SchoolFactory,
    calendar_address,
    wall_address,
    weekly_lessons,
)

DAY = "2026-01-21"


def every_pattern(resolver=None, namespace=""):
    """(namespace:name, pattern) of every address of the URLconf."""
    for entry in (resolver or get_resolver()).url_patterns:
        if hasattr(entry, "url_patterns"):
            yield from every_pattern(
                entry, f"{namespace}{entry.namespace}:" if entry.namespace else namespace
            )
        else:
            yield f"{namespace}{entry.name}", entry


PATTERNS = list(every_pattern())


def named(pattern):
    name, entry = pattern
    return f"{name} {entry.pattern}"


@pytest.fixture(scope="module")
def one_of_everything(rows_of_the_file):
    """On a day in the term's third week: the instructor teaches the course that the student is in; a second
    course on another dance is nobody's."""
    with override_settings(TODAY=DAY):
        return _one_of_everything()


@pytest.fixture
def cast(db, settings, one_of_everything):
    settings.TODAY = DAY
    return one_of_everything


def _one_of_everything():
    SchoolFactory()
    outsider, student = PersonFactory(), PersonFactory(roles=["student"])
    instructor = PersonFactory(roles=["instructor"])
    director = PersonFactory(roles=["director", "instructor"])
    needed, room = FigureFactory(), RoomFactory()
    figure = FigureFactory(level=needed.level, needs=[needed])
    passage = PassageFactory(figure=figure)
    keep([figure.pk], by=None)
    routine = RoutineFactory(level=figure.level, dances=[passage])
    routine_history.keep([routine.pk], by=director)
    course = CourseFactory(level=figure.level, taught_by=[instructor], routine=routine)
    MeetingFactory(course=course, room=room)
    lessons = weekly_lessons(course, 4, room=room)
    plan = PlanFactory(course=course)
    PlanFigureFactory(plan=plan, figure=figure, new_in=lessons[1])
    PlanFigureFactory(plan=plan, figure=needed, new_in=lessons[0])
    shape = LessonShapeFactory()
    other = CourseFactory(term=course.term)
    CoverLinkFactory(lesson=lessons[3], secret="one of everything")
    return {
        "people": dict(zip(WHO, (None, outsider, student, instructor, director), strict=True)),
        "person": PersonFactory(roles=["student"]).pk,
        "student": student.pk,
        "room": room.pk,
        "dance": figure.dance_id,
        "level": figure.level_id,
        "figure": figure.pk,
        "needed": needed.pk,
        "chart": StepChart.objects.create(figure=figure).pk,
        "routine": routine.pk,
        "piece": PieceFactory(dance=figure.dance).pk,
        "hold": HoldFactory(dance=figure.dance).pk,
        "rhythm": Rhythm.objects.create(dance=figure.dance, name="waltz").pk,
        "term": course.term_id,
        "course": course.pk,
        "closure": ClosureFactory().pk,
        "enrolment": EnrolmentFactory(course=course, person=student).pk,
        "shape": shape.pk,
        "private": PrivateLessonFactory(instructor=instructor).pk,
        "other_private": PrivateLessonFactory().pk,
        "plan": plan.pk,
        "other_plan": PlanFactory(course=course).pk,
        "milestone": Milestone.objects.create(course=course, name="showcase", day=lessons[3].date).pk,
        "away": Away.objects.create(
            person=instructor, first_day=lessons[3].date, last_day=lessons[3].date
        ).pk,
        "teaches_not": TeachesNot.objects.create(person=instructor, dance=other.dance).pk,
        "school_run": SchoolRun.objects.create(term=course.term).pk,
        "run": PlanRun.objects.create(plan=plan, plan_version=plan.version).pk,
        "lesson": lessons[0].pk,
        "calendar_secret": calendar_address("of a calendar"),
        "wall": wall_address(course, "of a wall").pk,
        "wall_secret": "of a wall",
        "catch_up": CatchUpFactory(lesson=lessons[3], person=student).pk,
        "helper_call": HelperCallFactory(lesson=lessons[0]).pk,
        "cover_link": CoverLinkFactory(lesson=lessons[0]).pk,
        "cover_token": "one of everything",
        "other": other,
        "other_lesson": weekly_lessons(other, 1, room=room)[0].pk,
        "other_figure": FigureFactory(level=other.levels.get()).pk,
    }


def client_of(cast, who):
    client = Client(raise_request_exception=False)
    if person := cast["people"][who]:
        client.force_login(person)
    return client


def address(name, entry, cast):
    wanted = {part: value for part, value in WALK[name][1].items() if part in entry.pattern.converters}
    return reverse(name, kwargs={part: cast.get(value, value) for part, value in wanted.items()})


def outcome(answer):
    """ "in", "ok", or the status: 403, 404, and whatever is never right (500)."""
    if answer.status_code == 302 and answer.url.startswith("/sign-in/?next="):
        return "in"
    let_in = {200, 204, 302, 400, 405, 409, 422}
    return "ok" if answer.status_code in let_in else str(answer.status_code)


@pytest.mark.parametrize("pattern", PATTERNS, ids=map(named, PATTERNS))
def test_every_address_lets_in_whom_it_should_and_nobody_else(pattern, cast):
    name, entry = pattern
    assert name in WALK, f"{name} has no line in this test's table"
    (may_read, may_write), _ = WALK[name]
    walked = address(name, entry, cast)
    read = " ".join(outcome(client_of(cast, who).get(walked)) for who in WHO)
    written = " ".join(outcome(client_of(cast, who).post(walked)) for who in WHO)
    assert (read, written) == (may_read, may_write)


def test_whatever_answers_get_answers_head(cast):
    """RFC 9110, section 9.1: a server answers both, and a HEAD as it would the GET but for its content."""
    client = client_of(cast, "director")
    for name, entry in PATTERNS:
        walked = address(name, entry, cast)
        assert client.head(walked).status_code == client.get(walked).status_code, name


@pytest.mark.parametrize("pattern", PATTERNS, ids=map(named, PATTERNS))
def test_every_address_was_opened_through_the_door(pattern):
    name, entry = pattern
    door = getattr(entry.callback, "door", None)
    assert isinstance(door, Door), f"{name} was not opened with page(...)"
    assert (door.name, door.rule) == (name, ACCESS[name])


def test_no_row_stands_for_an_address_that_is_gone():
    names = {name for name, _ in PATTERNS}
    assert set(ACCESS) - names == set()
    assert set(WALK) - names == set()


@pytest.mark.parametrize(
    ("who", "name", "kwargs", "expected"),
    [
        ("student", "curriculum:dance", lambda cast: {"pk": cast["other"].dance_id}, "404"),
        ("student", "curriculum:figure", lambda cast: {"pk": cast["other_figure"]}, "404"),
        ("student", "lessons:my-level-course", lambda cast: {"pk": cast["other"].pk}, "404"),
        ("instructor", "curriculum:figure", lambda cast: {"pk": cast["other_figure"]}, "ok"),
        ("instructor", "lessons:lesson", lambda cast: {"pk": cast["other_lesson"]}, "ok"),
        ("instructor", "lessons:record", lambda cast: {"pk": cast["other_lesson"]}, "403"),
        ("instructor", "lessons:sheet-edit", lambda cast: {"pk": cast["other_lesson"]}, "403"),
        ("instructor", "lessons:private-lesson", lambda cast: {"pk": cast["other_private"]}, "404"),
        ("director", "lessons:private-lesson", lambda cast: {"pk": cast["other_private"]}, "ok"),
        ("director", "lessons:record", lambda cast: {"pk": cast["other_lesson"]}, "ok"),
    ],
)
def test_what_is_somebody_elses_stays_theirs(who, name, kwargs, expected, cast):
    assert outcome(client_of(cast, who).get(reverse(name, kwargs=kwargs(cast)))) == expected
    if expected != "ok":
        assert outcome(client_of(cast, who).post(reverse(name, kwargs=kwargs(cast)))) in {"403", "404"}


OF_AN_OBJECT = [pattern for pattern in PATTERNS if "pk" in pattern[1].pattern.converters]


@pytest.mark.parametrize("pattern", OF_AN_OBJECT, ids=map(named, OF_AN_OBJECT))
def test_what_is_not_there_is_said_to_be_not_there(pattern, cast):
    name, entry = pattern
    gone = address(name, entry, cast | {WALK[name][1]["pk"]: 10**9})
    director = client_of(cast, "director")
    answer = director.get(gone)
    if answer.status_code == 405:
        answer = director.post(gone)
    assert answer.status_code == 404
