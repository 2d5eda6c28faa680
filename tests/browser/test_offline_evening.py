"""An evening in a hall without network: it is taught, recorded, and found at the school once.

The network is cut in the browser, for pages and service worker alike.
"""

import datetime as dt

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from lessons.models import LessonRecord, RecordedFigure, RecordSubmission
from tests.factories import (
    CourseFactory,
    EnrolmentFactory,
    FigureFactory,
    PersonFactory,
    PlanFactory,
    PlanFigureFactory,
    RecordFactory,
    weekly_lessons,
)

pytestmark = pytest.mark.django_db(transaction=True)

PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}
# The lesson is of the evening before: whatever the hour is that the tests run at, it has been given.
TODAY = dt.date(2026, 1, 21)
# What a browser says of a request that the cut network or a second writer has answered.
EXPECTED = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED", "status of 503")
KEPT = """async () => {
  const pages = [];
  for (const name of await caches.keys()) {
    if (!name.startsWith("freefoot-pages")) continue;
    for (const request of await (await caches.open(name)).keys()) pages.push(new URL(request.url).pathname);
  }
  return pages;
}"""


@pytest.fixture
def tonight(settings, school, instructor):
    settings.TODAY = TODAY.isoformat()
    course = CourseFactory(taught_by=[instructor])
    lessons = weekly_lessons(course, 4)
    plan = PlanFactory(course=course, status="published")
    for name in ("whisk", "chasse"):
        PlanFigureFactory(
            plan=plan, figure=FigureFactory(level=course.levels.get(), name=name), new_in=lessons[2]
        )
    EnrolmentFactory(course=course, role="L", person=PersonFactory(name="Stellan Frome"))
    return lessons[2]


class Hall:
    """Somebody with a phone, whose network can be cut."""

    def __init__(self, visitor, client, address, person):
        self.visitor, self.context, self.page = visitor, visitor.context, visitor.page
        self.address = address
        self.sign_in(client, person)

    def sign_in(self, client, person):
        # Requests still on their way with the session of before would sign out, were it ended.
        client.cookies.clear()
        client.force_login(person)
        value = client.cookies["sessionid"].value
        self.context.add_cookies([{"name": "sessionid", "value": value, "url": self.address}])

    def open(self, lesson, part=""):
        self.page.goto(f"/lessons/{lesson.pk}/{part}")

    def keep(self, lesson):
        """Opens tonight's page and waits until the device has it and what it leads to."""
        self.open(lesson)
        self.wait_until_kept("(pages) => pages.filter((page) => page.startsWith('/figures/')).length === 2")

    def wait_until_kept(self, enough):
        self.page.evaluate(
            f"""async () => {{
              const kept = {KEPT};
              const enough = {enough};
              const ends = Date.now() + 20000;
              while (!enough(await kept())) {{
                if (Date.now() > ends) throw new Error(`kept after 20 s: ${{await kept()}}`);
                await new Promise((again) => setTimeout(again, 50));
              }}
            }}"""
        )

    def cut(self):
        self.context.set_offline(True)

    def restore(self):
        self.context.set_offline(False)

    def open_anew(self):
        self.page.close()
        self.restore()
        self.page = self.context.new_page()
        self.page.goto("/")


@pytest.fixture
def hall(live_server, visit, client, instructor):
    visitor = visit(live_server.url, **PHONE)
    visitor.expected = EXPECTED
    return Hall(visitor, client, live_server.url, instructor)


def at(lesson, minutes):
    """The moment so long after the lesson's beginning, on the device's own days."""
    day = timezone.localdate(timezone=timezone.get_fixed_timezone(0)) - dt.timedelta(days=1)
    start = dt.datetime.combine(day, lesson.start, tzinfo=dt.UTC)
    return start + dt.timedelta(minutes=minutes)


def outcomes(lesson):
    rows = RecordedFigure.objects.filter(record__lesson=lesson).select_related("figure")
    return {row.figure.name: row.outcome for row in rows}


def record_it(page):
    page.get_by_role("button", name="Record it", exact=True).click()


def test_an_evening_without_network_is_taught_recorded_and_sent_once(hall, tonight):
    hall.keep(tonight)
    hall.cut()
    page = hall.page
    page.clock.install(time=at(tonight, 2))
    page.get_by_role("link", name="Live page").click()
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    expect(page.get_by_text("No network. This is the page as kept on this device")).to_be_visible()
    press = page.get_by_role("button", name="Skip")
    while page.get_by_role("heading", level=1).inner_text().lower() != "chasse":
        page.get_by_role("button", name="Next", exact=True).click()
    press.click()

    page.goto(f"/lessons/{tonight.pk}/record/")
    expect(page.get_by_text("Filled in from the live page")).to_be_visible()
    page.get_by_label("A note to the next instructor").fill("from the cellar")
    record_it(page)
    expect(page.get_by_text("What you recorded is kept on this device")).to_be_visible()
    assert not LessonRecord.objects.exists()

    hall.open_anew()
    expect(hall.page.get_by_text("kept on this device, has been sent")).to_be_visible()
    record = LessonRecord.objects.get()
    assert (record.note, record.version) == ("from the cellar", 1)
    assert outcomes(tonight) == {"whisk": "introduced", "chasse": "not_reached"}

    hall.page.reload()
    expect(hall.page.get_by_role("heading", level=1)).to_be_visible()
    assert hall.page.evaluate("freefootOutbox.all()") == []
    record.refresh_from_db()
    assert (record.version, RecordSubmission.objects.count()) == (1, 1)


def test_without_network_too_an_early_record_is_kept_only_with_its_tick(hall, tonight, settings, wall_clock):
    settings.TODAY = tonight.date.isoformat()
    wall_clock("00:01")
    hall.keep(tonight)
    hall.cut()
    page = hall.page
    # As far before the lesson's beginning as can be said in a day.
    page.clock.install(time=at(tonight, 0) - dt.timedelta(days=1))
    page.goto(f"/lessons/{tonight.pk}/record/")
    record_it(page)
    tick = page.get_by_label("It has taken place already")
    expect(tick).to_be_focused()
    assert page.evaluate("freefootOutbox.all()") == []
    tick.check()
    record_it(page)
    expect(page.get_by_text("What you recorded is kept on this device")).to_be_visible()
    assert "early=on" in page.evaluate("freefootOutbox.all()")[0]["body"]


def test_a_figures_page_opens_without_network_and_an_unknown_one_says_what_is_kept(hall, tonight):
    hall.keep(tonight)
    hall.cut()
    hall.page.get_by_role("link", name="whisk").click()
    expect(hall.page.get_by_role("heading", level=1)).to_have_text("whisk")
    hall.page.goto("/people/")
    expect(hall.page.get_by_role("heading", level=1)).to_have_text("No network")
    expect(hall.page.get_by_text("This page is not kept on this device")).to_be_visible()
    expect(hall.page.get_by_role("link", name="Live:")).to_be_visible()


def test_a_page_reached_in_two_ways_is_named_once_without_network(hall, tonight):
    """The run-sheet's link to a figure says where it was come from, the curriculum's does not."""
    hall.keep(tonight)
    whisk = tonight.course.levels.get().figures.get(name="whisk")
    hall.page.goto(f"/figures/{whisk.pk}/")
    hall.wait_until_kept(f"(pages) => pages.filter((page) => page === '/figures/{whisk.pk}/').length === 2")
    hall.cut()
    hall.page.goto("/people/")
    expect(hall.page.get_by_role("link", name="whisk")).to_have_count(1)


def test_what_waits_stands_in_the_form_again_and_the_last_word_is_sent(hall, tonight):
    hall.keep(tonight)
    hall.cut()
    for note in ("first thought", "second thought"):
        hall.open(tonight, "record/")
        hall.page.get_by_label("A note to the next instructor").fill(note)
        record_it(hall.page)
        expect(hall.page.get_by_text("What you recorded is kept on this device")).to_be_visible()
    hall.open(tonight, "record/")
    expect(hall.page.get_by_label("A note to the next instructor")).to_have_value("second thought")
    hall.open_anew()
    expect(hall.page.get_by_text("has been sent")).to_be_visible()
    assert LessonRecord.objects.get().note == "second thought"


def test_what_somebody_else_recorded_meanwhile_is_shown_beside_it(hall, tonight, director):
    hall.keep(tonight)
    hall.cut()
    hall.open(tonight, "record/")
    hall.page.get_by_label("A note to the next instructor").fill("mine")
    record_it(hall.page)
    expect(hall.page.get_by_text("What you recorded is kept on this device")).to_be_visible()
    RecordFactory(lesson=tonight, note="theirs", recorded_by=director)

    hall.open_anew()
    hall.page.get_by_role("button", name="Look at it").click()
    expect(hall.page.get_by_text("Their note: theirs")).to_be_visible()
    expect(hall.page.get_by_label("A note to the next instructor")).to_have_value("mine")
    assert LessonRecord.objects.get().note == "theirs"
    hall.page.get_by_role("button", name="Record mine in place of theirs").last.click()
    expect(hall.page.get_by_text("Recorded. Students see it from now on")).to_be_visible()
    assert LessonRecord.objects.get().note == "mine"
    assert hall.page.evaluate("freefootOutbox.all()") == []


def test_signing_out_clears_the_device(hall, tonight):
    hall.keep(tonight)
    hall.open(tonight, "live/")
    hall.page.get_by_role("button", name="Begin now").or_(
        hall.page.get_by_role("button", name="Next", exact=True)
    ).click()
    hall.cut()
    hall.open(tonight, "record/")
    record_it(hall.page)
    expect(hall.page.get_by_text("What you recorded is kept on this device")).to_be_visible()
    RecordFactory(lesson=tonight)
    hall.restore()
    hall.page.evaluate(
        "freefootOutbox.all().then(([entry]) => freefootOutbox.put({ ...entry, state: 'asks' }))"
    )
    asked = []
    hall.page.on("dialog", lambda dialog: (asked.append(dialog.message), dialog.accept()))
    hall.open(tonight)
    hall.page.get_by_role("button", name="Sign out").click()
    hall.page.wait_for_url("**/sign-in/")
    assert [said for said in asked if "has not been sent yet" in said] == asked != []
    assert hall.page.evaluate(KEPT) == []
    assert hall.page.evaluate("Object.keys(localStorage)") == []
    left = """() => new Promise((resolve) => {
      const asked = indexedDB.open("freefoot", 1);
      asked.onupgradeneeded = () => asked.result.createObjectStore("outbox", { keyPath: "uuid" });
      asked.onsuccess = () => {
        const all = asked.result.transaction("outbox").objectStore("outbox").getAll();
        all.onsuccess = () => resolve(all.result);
      };
    })"""
    assert hall.page.evaluate(left) == []


def test_what_was_begun_for_one_is_given_up_once_somebody_else_is_signed_in(
    hall, tonight, client, director, instructor
):
    hall.keep(tonight)
    hall.sign_in(client, director)
    hall.page.goto("/")
    hall.wait_until_kept("(pages) => pages.join() === '/'")
    lesson = f"/lessons/{tonight.pk}/"
    for person, address in ((instructor, lesson), (director, f"{lesson}partners/")):
        hall.page.evaluate(
            "(asked) => navigator.serviceWorker.controller.postMessage(asked)",
            {"person": person.pk, "keep": [address]},
        )
    hall.wait_until_kept(f"(pages) => pages.includes('{lesson}partners/')")
    assert sorted(hall.page.evaluate(KEPT)) == ["/", f"{lesson}partners/"]


def test_who_signs_in_after_somebody_else_finds_nothing_of_theirs(hall, tonight, client, director):
    hall.keep(tonight)
    hall.sign_in(client, director)
    hall.page.goto("/")
    expect(hall.page.get_by_role("heading", name="What needs me")).to_be_visible()
    hall.wait_until_kept("(pages) => pages.join() === '/'")
    hall.cut()
    hall.open(tonight)
    expect(hall.page.get_by_role("heading", level=1)).to_have_text("No network")
