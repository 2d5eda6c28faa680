"""A student with a phone, between two lessons: how did it go, what do I practise, where do I catch up?"""

import datetime as dt

import pytest
from playwright.sync_api import expect

from curriculum.models import ChartStep, StepChart
from lessons.models import Attendance, CourseGroup, OwnMark
from tests.browser.test_offline_evening import EXPECTED, PHONE, Hall
from tests.factories import (
    CourseFactory,
    EnrolmentFactory,
    FigureFactory,
    LevelFactory,
    PassageFactory,
    PlanFactory,
    PlanFigureFactory,
    RecordFactory,
    RoutineFactory,
    weekly_lessons,
)

pytestmark = pytest.mark.django_db(transaction=True)

TODAY = dt.date(2026, 1, 21)


@pytest.fixture
def course(settings, school, student):
    """Two lessons have been: the whisk was new in the first, the lock in the second."""
    settings.TODAY = TODAY.isoformat()
    course = CourseFactory(level=LevelFactory(rank=1), name="Waltz on Tuesdays")
    EnrolmentFactory(course=course, person=student, role="F")
    ways = []
    for name, lesson in zip(("whisk", "lock"), weekly_lessons(course, 4), strict=False):
        figure = FigureFactory(level=course.levels.get(), name=name)
        chart = StepChart.objects.create(figure=figure)
        for role in "LF":
            for place in range(3):
                ChartStep.objects.create(
                    chart=chart,
                    role=role,
                    position=place,
                    count=str(place + 1),
                    ticks=12,
                    foot="LRL"[place],
                    action="step",
                    direction="forward",
                )
        ways.append(PassageFactory(figure=figure, chart=chart, ticks=36))
        record = RecordFactory(lesson=lesson, taught={figure: "introduced"})
        Attendance.objects.create(record=record, person=student, role="F")
    course.routine = RoutineFactory(level=course.levels.get(), dances=ways)
    course.save()
    return course


@pytest.fixture
def phone(live_server, visit, client, student, course):
    visitor = visit(live_server.url, **PHONE)
    visitor.expected = EXPECTED
    return Hall(visitor, client, live_server.url, student)


def no_wider_than_the_phone(page):
    return page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_how_last_lessons_figure_goes_is_three_touches_away(phone):
    page = phone.page
    page.goto("/")
    page.get_by_role("link", name="My level").first.tap()
    page.get_by_role("region", name="Tuesday 13 January").get_by_role("link", name="lock").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("lock")
    page.get_by_role("button", name="Play the counts").tap()
    expect(page.get_by_role("button", name="Stop")).to_be_visible()
    expect(page.locator("[data-count].now")).to_be_visible()
    assert no_wider_than_the_phone(page)


def test_a_missed_lesson_is_asked_for_on_the_other_evening(phone, course, student, instructor, client):
    course.group = CourseGroup.objects.create(name="Waltz")
    course.save()
    level = course.levels.get()
    other = CourseFactory(level=level, term=course.term, group=course.group, taught_by=[instructor])
    (thursday,) = weekly_lessons(other, 1, first=TODAY + dt.timedelta(days=1))
    whisk = level.figures.get(name="whisk")
    PlanFigureFactory(plan=PlanFactory(course=other, status="published"), figure=whisk, again_in=[thursday])
    Attendance.objects.filter(record__figures__figure=whisk).delete()
    page = phone.page
    page.goto(f"/my-level/{course.pk}/")
    page.get_by_role("link", name="What I missed").tap()
    page.get_by_role("button", name="Ask to come").tap()
    expect(page.get_by_text("asked, the place is held for you")).to_be_visible()
    assert no_wider_than_the_phone(page)
    phone.sign_in(client, instructor)
    page.goto("/")
    page.get_by_role("link", name="Answer Lark").tap()
    page.get_by_role("button", name="There is a place").tap()
    expect(page.get_by_text("✓ expected")).to_be_visible()
    phone.sign_in(client, student)
    page.goto("/")
    expect(page.get_by_text("✓ you are expected")).to_be_visible()


def test_ten_minutes_at_home_work_without_network(phone, course):
    page = phone.page
    page.goto(f"/my-level/{course.pk}/")
    phone.wait_until_kept("(pages) => pages.filter((page) => page.endsWith('/at-home/')).length === 1")
    assert no_wider_than_the_phone(page)
    phone.cut()
    page.get_by_role("link", name="Ten minutes at home").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("Ten minutes at home")
    expect(page.get_by_text("No network. This is the page as kept on this device")).to_be_visible()
    expect(page.get_by_role("heading", level=2)).to_have_text(
        ["Warm up", "whisk", "lock", "The routine", "Look back"]
    )
    routine = page.get_by_role("listitem").filter(has=page.get_by_role("heading", name="The routine"))
    routine.get_by_role("button", name="Play the counts").tap()
    expect(routine.locator("[data-count].now")).to_be_visible()
    assert no_wider_than_the_phone(page)


def test_without_network_no_mark_is_lost(phone, course, student):
    """They cannot be touched, in a kept page nor in one that was open when the network fell away."""
    page = phone.page
    page.goto(f"/my-level/{course.pk}/at-home/")
    phone.wait_until_kept("(pages) => pages.filter((page) => page.startsWith('/figures/')).length === 2")
    phone.cut()
    page.get_by_role("link", name="Mark how it goes, or look closer").first.tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("whisk")
    mark = page.get_by_role("button", name="not yet").first
    expect(page.get_by_text("Without network no mark can be kept.")).to_be_visible()
    expect(mark).to_be_disabled()
    phone.restore()
    expect(page.get_by_text("Without network no mark can be kept.")).to_have_count(0)
    phone.cut()
    expect(mark).to_be_disabled()
    phone.restore()
    mark.tap()
    expect(page.get_by_role("button", name="not yet", pressed=True)).to_have_count(1)
    assert OwnMark.objects.get(person=student).mark == "not_yet"
    assert no_wider_than_the_phone(page)


def test_a_calendars_address_is_made_renewed_and_taken_away(phone, course):
    page = phone.page
    page.goto(f"/my-level/{course.pk}/")
    page.get_by_role("link", name="My calendar").tap()
    page.get_by_role("button", name="Make the address").tap()
    first = page.get_by_label("Address of my calendar").input_value()
    assert page.request.get(first).status == 200
    page.get_by_role("button", name="Make a new address").tap()
    expect(page.get_by_label("Address of my calendar")).not_to_have_value(first)
    assert page.request.get(first).status == 404
    page.get_by_role("button", name="Take it away").tap()
    expect(page.get_by_text("The address opens nothing any more.")).to_be_visible()
    assert no_wider_than_the_phone(page)
