"""Who may do what: every address of the site is walked with every role, by reading and by writing.

The table here is written by hand and not made from the one in the project, so that a row that lets in
too many fails. A new address fails until it has a line here.
"""

import pytest
from django.test import Client, override_settings
from django.urls import get_resolver, reverse

from curriculum import routine_history
from curriculum.history import keep
from curriculum.models import Rhythm, StepChart
from lessons.models import Away, Milestone, PlanRun, SchoolRun, TeachesNot
from school.access import ACCESS, Door
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
WHO = ("anonymous", "outsider", "student", "instructor", "director")

# For each of WHO: "in" is sent to sign in, "ok" is let in, or the status of the refusal.
STAFF_READ = ("in 404 404 ok ok", "in 404 404 403 403")
ALL_READ = ("in 404 ok ok ok", "in 404 403 403 403")
DIRECTORS_FORM = ("in 404 404 403 ok", "in 404 404 403 ok")
STAFFS_FORM = ("in 404 404 ok ok", "in 404 404 ok ok")
EVERYONES_FORM = ("in 404 ok ok ok", "in 404 ok ok ok")
OPEN_TO_ALL = ("ok ok ok ok ok", "ok ok ok ok ok")

# name -> ((who may GET, who may POST), which object of `cast` its numbers name)
WALK = {
    "school:sign-in": (OPEN_TO_ALL, {}),
    "school:sign-out": (OPEN_TO_ALL, {}),
    "school:password": (("in ok ok ok ok", "in ok ok ok ok"), {}),
    "school:password-forgotten": (OPEN_TO_ALL, {}),
    "school:password-sent": (OPEN_TO_ALL, {}),
    "school:password-new": (OPEN_TO_ALL, {"uidb64": "nobody", "token": "no-token"}),
    # once somebody is there, nothing is left to begin
    "school:begin": (("404 404 404 404 404", "404 404 404 404 404"), {}),
    "school:join": (("404 404 404 404 404", "404 404 404 404 404"), {"secret": "of nobody"}),
    "school:invite-new": (DIRECTORS_FORM, {}),
    "school:invite": (DIRECTORS_FORM, {"pk": "person"}),
    # shown once, after it was made; else it leads to the person
    "school:invitation": (("in 404 404 404 ok", "in 404 404 404 403"), {"pk": "person"}),
    "school:invitation-withdraw": (DIRECTORS_FORM, {"pk": "person"}),
    "school:charts-as": (("in ok ok ok ok", "in ok ok ok ok"), {}),
    "school:my-photographs": (("in ok ok ok ok", "in ok ok ok ok"), {}),
    "school:photographs": (DIRECTORS_FORM, {"pk": "person"}),
    "school:people": (STAFF_READ, {}),
    "school:person": (STAFF_READ, {"pk": "person"}),
    "school:person-new": (DIRECTORS_FORM, {}),
    "school:person-edit": (DIRECTORS_FORM, {"pk": "person"}),
    "school:person-remove": (DIRECTORS_FORM, {"pk": "person"}),
    "school:person-roles": (DIRECTORS_FORM, {"pk": "person"}),
    "school:person-one-time-password": (DIRECTORS_FORM, {"pk": "person"}),
    "school:set-up": (DIRECTORS_FORM, {}),
    "school:room-new": (DIRECTORS_FORM, {}),
    "school:room": (DIRECTORS_FORM, {"pk": "room"}),
    "curriculum:dances": (STAFF_READ, {}),
    "curriculum:dance": (ALL_READ, {"pk": "dance"}),
    "curriculum:dance-new": (DIRECTORS_FORM, {}),
    "curriculum:dance-edit": (DIRECTORS_FORM, {"pk": "dance"}),
    "curriculum:dance-remove": (DIRECTORS_FORM, {"pk": "dance"}),
    "curriculum:level-remove": (DIRECTORS_FORM, {"pk": "level"}),
    "curriculum:figure-remove": (DIRECTORS_FORM, {"pk": "figure"}),
    "curriculum:holds": (STAFF_READ, {"pk": "dance"}),
    "curriculum:hold-new": (DIRECTORS_FORM, {"pk": "dance"}),
    "curriculum:hold-edit": (DIRECTORS_FORM, {"pk": "hold"}),
    "curriculum:hold-remove": (DIRECTORS_FORM, {"pk": "hold"}),
    "curriculum:level-new": (DIRECTORS_FORM, {"pk": "dance"}),
    "curriculum:figures": (ALL_READ, {}),
    "curriculum:figure": (ALL_READ, {"pk": "figure"}),
    "curriculum:figure-new": (DIRECTORS_FORM, {"pk": "dance"}),
    "curriculum:figure-edit": (DIRECTORS_FORM, {"pk": "figure"}),
    "curriculum:prerequisite-add": (DIRECTORS_FORM, {"pk": "figure"}),
    "curriculum:prerequisite-remove": (DIRECTORS_FORM, {"pk": "figure", "needs": "needed"}),
    "curriculum:chart-new": (DIRECTORS_FORM, {"pk": "figure"}),
    "curriculum:chart-edit": (DIRECTORS_FORM, {"pk": "chart"}),
    "curriculum:passages": (DIRECTORS_FORM, {"pk": "figure"}),
    "curriculum:figure-history": (STAFF_READ, {"pk": "figure"}),
    "curriculum:figure-restore": (DIRECTORS_FORM, {"pk": "figure", "version": 1}),
    "curriculum:map": (ALL_READ, {"pk": "dance"}),
    "curriculum:routine": (ALL_READ, {"pk": "routine"}),
    "curriculum:routine-new": (STAFFS_FORM, {"pk": "level"}),
    "curriculum:compose": (STAFFS_FORM, {"pk": "level"}),
    "curriculum:routine-edit": (STAFFS_FORM, {"pk": "routine"}),
    "curriculum:routine-remove": (STAFFS_FORM, {"pk": "routine"}),
    "curriculum:routine-build": (STAFFS_FORM, {"pk": "routine"}),
    "curriculum:routine-change": (STAFFS_FORM, {"pk": "routine"}),
    "curriculum:routine-undo": (STAFFS_FORM, {"pk": "routine"}),
    "curriculum:routine-history": (STAFF_READ, {"pk": "routine"}),
    "curriculum:routine-restore": (STAFFS_FORM, {"pk": "routine", "version": 1}),
    "curriculum:music": (STAFF_READ, {}),
    "curriculum:piece-new": (STAFFS_FORM, {}),
    "curriculum:piece-edit": (STAFFS_FORM, {"pk": "piece"}),
    # the walk's first post takes it off the list
    "curriculum:piece-remove": (("in 404 404 ok ok", "in 404 404 ok 404"), {"pk": "piece"}),
    "curriculum:spreadsheet-in": (DIRECTORS_FORM, {"pk": "dance"}),
    "curriculum:spreadsheet-confirm": (DIRECTORS_FORM, {"pk": "dance"}),
    "curriculum:spreadsheet-hold": (DIRECTORS_FORM, {"pk": "dance"}),
    "curriculum:spreadsheet-out": (STAFF_READ, {"pk": "dance", "kind": "csv"}),
    "curriculum:rhythms": (ALL_READ, {"pk": "dance"}),
    "curriculum:rhythm-new": (DIRECTORS_FORM, {"pk": "dance"}),
    "curriculum:rhythm-edit": (DIRECTORS_FORM, {"pk": "rhythm"}),
    "curriculum:rhythm-remove": (DIRECTORS_FORM, {"pk": "rhythm"}),
    "curriculum:tempo": (DIRECTORS_FORM, {"pk": "dance"}),
    "curriculum:file-in": (DIRECTORS_FORM, {}),
    "curriculum:file-confirm": (DIRECTORS_FORM, {}),
    "curriculum:file-out": (STAFF_READ, {}),
    "curriculum:dance-file-out": (STAFF_READ, {"pk": "dance"}),
    "lessons:health": (OPEN_TO_ALL, {}),
    "lessons:home": (("in ok ok ok ok", "in 403 403 403 403"), {}),
    "lessons:term": (STAFF_READ, {"pk": "term"}),
    "lessons:term-new": (DIRECTORS_FORM, {}),
    "lessons:term-edit": (DIRECTORS_FORM, {"pk": "term"}),
    "lessons:term-remove": (DIRECTORS_FORM, {"pk": "term"}),
    "lessons:teachers": (STAFF_READ, {}),
    "lessons:away-new": (DIRECTORS_FORM, {}),
    "lessons:away-remove": (DIRECTORS_FORM, {"pk": "away"}),
    "lessons:teaches-not-new": (DIRECTORS_FORM, {}),
    "lessons:teaches-not-remove": (DIRECTORS_FORM, {"pk": "teaches_not"}),
    "lessons:helper": (DIRECTORS_FORM, {"pk": "person"}),
    "lessons:helper-off": (DIRECTORS_FORM, {"pk": "person"}),
    "lessons:school-plan": (DIRECTORS_FORM, {"pk": "term"}),
    "lessons:school-run": (STAFF_READ, {"pk": "school_run"}),
    "lessons:school-run-stop": (DIRECTORS_FORM, {"pk": "school_run"}),
    "lessons:school-run-accept": (DIRECTORS_FORM, {"pk": "school_run"}),
    "lessons:kept-about-me": (("in ok ok ok ok", "in 403 403 403 403"), {}),
    "lessons:kept-about-me-file": (("in ok ok ok ok", "in 403 403 403 403"), {}),
    "lessons:kept-about-me-ask": (("in ok ok ok ok", "in ok ok ok ok"), {}),
    "lessons:person-erase": (DIRECTORS_FORM, {"pk": "person"}),
    "lessons:closure-new": (DIRECTORS_FORM, {}),
    "lessons:closure-edit": (DIRECTORS_FORM, {"pk": "closure"}),
    "lessons:course": (STAFF_READ, {"pk": "course"}),
    "lessons:course-new": (DIRECTORS_FORM, {}),
    "lessons:course-edit": (DIRECTORS_FORM, {"pk": "course"}),
    "lessons:course-remove": (DIRECTORS_FORM, {"pk": "course"}),
    "lessons:enrol": (DIRECTORS_FORM, {"pk": "course"}),
    "lessons:enrolment-end": (DIRECTORS_FORM, {"pk": "enrolment"}),
    "lessons:shapes": (STAFF_READ, {}),
    "lessons:shape": (DIRECTORS_FORM, {"pk": "shape"}),
    "lessons:shape-new": (DIRECTORS_FORM, {}),
    "lessons:plan": (STAFF_READ, {"pk": "plan"}),
    "lessons:plan-new": (DIRECTORS_FORM, {"pk": "course"}),
    "lessons:plan-name": (DIRECTORS_FORM, {"pk": "plan"}),
    "lessons:plan-discard": (DIRECTORS_FORM, {"pk": "plan"}),
    "lessons:plan-figure": (DIRECTORS_FORM, {"pk": "plan", "figure": "figure"}),
    "lessons:plan-figure-try": (
        ("in 404 404 403 404", "in 404 404 403 ok"),
        {"pk": "plan", "figure": "figure"},
    ),
    "lessons:plan-figures": (DIRECTORS_FORM, {"pk": "plan"}),
    "lessons:milestone-new": (DIRECTORS_FORM, {"pk": "course"}),
    "lessons:milestone": (DIRECTORS_FORM, {"pk": "milestone"}),
    "lessons:milestone-remove": (DIRECTORS_FORM, {"pk": "milestone"}),
    "lessons:plan-duplicate": (DIRECTORS_FORM, {"pk": "plan"}),
    "lessons:plan-compare": (STAFF_READ, {"pk": "plan"}),
    "lessons:plan-compare-with": (STAFF_READ, {"pk": "plan", "other": "other_plan"}),
    "lessons:plan-copy-from": (DIRECTORS_FORM, {"pk": "course"}),
    "lessons:plan-history": (STAFF_READ, {"pk": "course"}),
    "lessons:plan-run-way": (DIRECTORS_FORM, {"pk": "run"}),
    "lessons:plan-picture": (STAFF_READ, {"pk": "plan"}),
    "lessons:term-picture": (STAFF_READ, {"pk": "term"}),
    "lessons:plan-places": (DIRECTORS_FORM, {"pk": "plan", "figure": "figure"}),
    "lessons:plan-why": (STAFF_READ, {"pk": "plan", "figure": "figure"}),
    "lessons:plan-move": (DIRECTORS_FORM, {"pk": "plan"}),
    "lessons:plan-take-back": (DIRECTORS_FORM, {"pk": "plan"}),
    "lessons:plan-now": (STAFF_READ, {"pk": "plan"}),
    "lessons:plan-changes": (STAFF_READ, {"pk": "plan"}),
    "lessons:plan-publish": (DIRECTORS_FORM, {"pk": "plan"}),
    "lessons:plan-again": (STAFFS_FORM, {"pk": "course"}),
    "lessons:plan-run-start": (DIRECTORS_FORM, {"pk": "plan"}),
    "lessons:plan-run": (STAFF_READ, {"pk": "run"}),
    "lessons:plan-run-stop": (DIRECTORS_FORM, {"pk": "run"}),
    "lessons:plan-run-answer": (DIRECTORS_FORM, {"pk": "run"}),
    "lessons:lesson": (STAFF_READ, {"pk": "lesson"}),
    "lessons:lesson-cancel": (DIRECTORS_FORM, {"pk": "lesson"}),
    "lessons:lesson-move": (DIRECTORS_FORM, {"pk": "lesson"}),
    "lessons:lesson-restore": (DIRECTORS_FORM, {"pk": "lesson"}),
    "lessons:lesson-give": (DIRECTORS_FORM, {"pk": "lesson"}),
    "lessons:lesson-kind": (DIRECTORS_FORM, {"pk": "lesson"}),
    "lessons:teaching-pair": (STAFFS_FORM, {"pk": "lesson"}),
    "lessons:record": (STAFFS_FORM, {"pk": "lesson"}),
    "lessons:sheet-edit": (STAFFS_FORM, {"pk": "lesson"}),
    "lessons:live": (STAFF_READ, {"pk": "lesson"}),
    "lessons:service-worker": (OPEN_TO_ALL, {}),
    "lessons:device": (OPEN_TO_ALL, {}),
    "lessons:cover-new": (STAFFS_FORM, {"pk": "lesson"}),
    "lessons:cover-withdraw": (STAFFS_FORM, {"pk": "lesson", "link": "cover_link"}),
    "lessons:cover": (OPEN_TO_ALL, {"token": "cover_token"}),
    "lessons:partners": (STAFF_READ, {"pk": "lesson"}),
    "lessons:not-paired": (STAFFS_FORM, {"pk": "lesson"}),
    "lessons:not-paired-end": (("in 404 404 ok ok", "in 404 404 404 404"), {"pk": "lesson", "pair": 1}),
    "lessons:helper-call": (STAFFS_FORM, {"pk": "lesson"}),
    "lessons:helper-call-off": (
        ("in 404 404 ok ok", "in 404 404 ok 404"),
        {"pk": "lesson", "call": "helper_call"},
    ),
    "lessons:private-lessons": (STAFF_READ, {}),
    "lessons:private-new": (STAFFS_FORM, {}),
    "lessons:private-lesson": (STAFFS_FORM, {"pk": "private"}),
    "lessons:private-edit": (STAFFS_FORM, {"pk": "private"}),
    # the walk's first post takes it out, and then it is gone for the next
    "lessons:private-remove": (("in 404 404 ok ok", "in 404 404 ok 404"), {"pk": "private"}),
    "lessons:my-level": (("in 404 ok ok ok", "in 404 403 403 403"), {}),
    "lessons:my-level-course": (("in 404 ok 404 404", "in 404 403 403 403"), {"pk": "course"}),
    "lessons:at-home": (("in 404 ok 404 404", "in 404 403 403 403"), {"pk": "course"}),
    "lessons:my-calendar": (("in 404 ok ok ok", "in 404 ok ok ok"), {}),
    "lessons:calendar": (OPEN_TO_ALL, {"secret": "calendar_secret"}),
    "lessons:wall": (OPEN_TO_ALL, {"secret": "wall_secret"}),
    "lessons:course-wall": (("in 404 404 ok ok", "in 404 404 403 ok"), {"pk": "course"}),
    "lessons:course-wall-withdraw": (DIRECTORS_FORM, {"pk": "course", "address": "wall"}),
    "lessons:ready": (("in 404 ok 404 404", "in 404 403 403 403"), {"pk": "course"}),
    "lessons:sign-offs": (STAFF_READ, {"pk": "course"}),
    "lessons:sign-off-person": (STAFFS_FORM, {"pk": "course", "person": "student"}),
    "lessons:ready-school": (STAFF_READ, {}),
    "lessons:requirements": (DIRECTORS_FORM, {"pk": "level"}),
    "lessons:missed": (("in 404 ok 404 404", "in 404 403 403 403"), {"pk": "course"}),
    # the form names a lesson of a parallel course: without one nothing is there; a GET is refused before
    "lessons:catch-up-ask": (("in 404 ok ok ok", "in 404 404 404 404"), {"pk": "course"}),
    "lessons:catch-up-withdraw": (("in 404 ok ok ok", "in 404 ok 404 404"), {"pk": "catch_up"}),
    "lessons:catch-up-answer": (STAFFS_FORM, {"pk": "catch_up"}),
    "lessons:own-mark": (EVERYONES_FORM, {"pk": "figure"}),
    "lessons:own-note": (EVERYONES_FORM, {"pk": "figure"}),
}


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
