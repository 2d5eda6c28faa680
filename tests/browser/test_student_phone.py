"""A student with a phone, between two lessons: how did it go, what do I practise, where do I catch up?"""

import datetime as dt

import pytest
from playwright.sync_api import expect

from curriculum.models import ChartStep, StepChart
from lessons.models import Attendance, CourseGroup, OwnMark, OwnNote
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


def test_a_mark_is_lit_by_a_touch_and_taken_away_by_another(phone, course, student):
    page = phone.page
    page.goto(f"/figures/{course.levels.get().figures.get(name='whisk').pk}/")
    follower = page.get_by_role("group", name="follower")
    follower.get_by_role("button", name="not yet").tap()
    expect(page.get_by_text("Marked: not yet.")).to_be_visible()
    assert OwnMark.objects.get(person=student).mark == "not_yet"
    lit = follower.get_by_role("button", name="not yet", pressed=True)
    lit.tap()
    expect(page.get_by_text("Mark taken away.")).to_be_visible()
    expect(lit).to_have_count(0)
    assert not OwnMark.objects.exists()
    assert page.evaluate("freefootOutbox.all()") == []


def test_marks_made_without_network_are_kept_and_the_last_one_of_each_is_sent(phone, course, student):
    """In a kept page and in one that was open when the network fell away."""
    page = phone.page
    page.goto(f"/my-level/{course.pk}/at-home/")
    phone.wait_until_kept("(pages) => pages.filter((page) => page.startsWith('/figures/')).length === 2")
    phone.cut()
    page.get_by_role("link", name="Mark how it goes, or look closer").first.tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("whisk")
    follower = page.get_by_role("group", name="follower")
    for words in ("if I think", "not yet"):
        follower.get_by_role("button", name=words).tap()
        expect(page.get_by_text("No network. Your mark is kept on this device")).to_be_visible()
        expect(follower.get_by_role("button", name=words, pressed=True)).to_be_visible()
    assert not OwnMark.objects.exists()
    page.reload()
    expect(follower.get_by_role("button", name="not yet", pressed=True)).to_be_visible()
    expect(
        page.get_by_text("Your mark on whisk is kept on this device and waits for the network.")
    ).to_be_visible()
    page.get_by_role("group", name="leader").get_by_role("button", name="without thinking").tap()
    assert no_wider_than_the_phone(page)
    phone.restore()
    expect(page.get_by_text("Your mark is with the school now.")).to_be_visible()
    assert {(row.role, row.mark) for row in OwnMark.objects.all()} == {("F", "not_yet"), ("L", "easy")}
    assert page.evaluate("freefootOutbox.all()") == []


def keep_note(page, text):
    page.get_by_label("My note").fill(text)
    page.get_by_role("button", name="Keep it").tap()


def test_a_note_kept_without_network_is_sent_once_it_is_back_the_latest_text_alone(phone, course):
    page = phone.page
    whisk = course.levels.get().figures.get(name="whisk")
    page.goto(f"/my-figures/{whisk.pk}/note/")
    phone.cut()
    for text in ("small feet", "small feet,\nhead left"):
        keep_note(page, text)
        expect(page.get_by_text("No network. Your note is kept on this device")).to_be_visible()
        expect(page.get_by_label("My note")).to_have_value(text)
        page.wait_for_function("async () => (await freefootOutbox.all()).length === 1")
    assert not OwnNote.objects.exists()
    phone.restore()
    expect(page.get_by_role("heading", level=1)).to_have_text("whisk")
    expect(page.locator("p.own-note")).to_contain_text("head left")
    note = OwnNote.objects.get()
    assert (note.text, note.version) == ("small feet,\nhead left", 1)
    assert page.evaluate("freefootOutbox.all()") == []


def test_a_note_that_waited_stands_beside_what_was_written_elsewhere_meanwhile(phone, course, student):
    page = phone.page
    whisk = course.levels.get().figures.get(name="whisk")
    page.goto(f"/my-figures/{whisk.pk}/note/")
    phone.cut()
    keep_note(page, "from the phone")
    expect(page.get_by_text("No network. Your note is kept on this device")).to_be_visible()
    OwnNote.objects.create(person=student, figure=whisk, text="from the desk")
    phone.restore()
    page.get_by_role("button", name="Look at it").tap()
    expect(page.get_by_text("from the desk")).to_be_visible()
    expect(page.get_by_label("My note")).to_have_value("from the phone")
    assert OwnNote.objects.get().text == "from the desk"
    keep_note(page, "from both")
    expect(page.get_by_text("Your note is kept.")).to_be_visible()
    assert OwnNote.objects.get().text == "from both"
    assert page.evaluate("freefootOutbox.all()") == []


def test_a_note_that_waited_is_sent_from_another_page_after_this_one_was_closed(phone, course):
    page = phone.page
    whisk = course.levels.get().figures.get(name="whisk")
    page.goto(f"/my-figures/{whisk.pk}/note/")
    phone.cut()
    keep_note(page, "small feet")
    expect(page.get_by_text("No network. Your note is kept on this device")).to_be_visible()
    phone.open_anew()
    phone.page.goto(f"/my-figures/{whisk.pk}/note/")
    expect(phone.page.get_by_label("My note")).to_have_value("small feet")
    expect(phone.page.locator("[name=version]")).to_have_value("1")
    assert OwnNote.objects.get().text == "small feet"


def test_what_only_the_school_can_do_is_held_without_network(phone, course):
    page = phone.page
    page.goto(f"/figures/{course.levels.get().figures.get(name='whisk').pk}/")
    leader = page.get_by_role("form", name="Charts show").get_by_role("button", name="leader")
    expect(leader).to_be_enabled()
    phone.cut()
    expect(leader).to_be_disabled()
    expect(page.get_by_text("needs the network")).to_be_visible()
    phone.restore()
    leader.tap()
    expect(leader).to_have_attribute("aria-pressed", "true")


def test_a_calendars_address_is_made_renewed_and_taken_away(phone, course):
    page = phone.page
    phone.context.grant_permissions(["clipboard-read", "clipboard-write"])
    page.goto(f"/my-level/{course.pk}/")
    page.get_by_role("link", name="My calendar").tap()
    page.get_by_role("button", name="Make the address").tap()
    address = page.get_by_label("Address of my calendar")
    first = address.input_value()
    assert address.evaluate("field => field.scrollWidth <= field.clientWidth")
    assert no_wider_than_the_phone(page)
    follow = page.get_by_role("link", name="Add it to my calendar").get_attribute("href")
    assert follow.partition(":")[::2] == ("webcal", first.partition(":")[2])
    page.get_by_role("button", name="Copy the address").tap()
    expect(page.get_by_text("Copied.")).to_be_visible()
    assert page.evaluate("navigator.clipboard.readText()") == first
    assert page.request.get(first).status == 200
    page.get_by_role("button", name="Make a new address").tap()
    expect(page.get_by_label("Address of my calendar")).not_to_have_value(first)
    assert page.request.get(first).status == 404
    page.get_by_role("button", name="Take it away").tap()
    expect(page.get_by_text("The address opens nothing any more.")).to_be_visible()
    assert no_wider_than_the_phone(page)
