"""Every page of every role, and what opens without signing in, can be read and used by everybody: as it
comes, with what opens on it, and when it was refused. What is asked stands in page_checks.py."""

import datetime as dt
import re

import pytest
from django.test import Client
from django.urls import reverse
from playwright.sync_api import expect

from tests.access_walk import WALK, WHO
from tests.browser.page_checks import PHONE, WIDE, axe, faults, look_at, phone_faults, shown_faults
from tests.browser.whole_school import STORY_DAY, planning_runs, whole_school
from tests.test_access import PATTERNS, address

pytestmark = pytest.mark.django_db(transaction=True)
# The one who reads most comes first; of the others only what they read otherwise is walked again.
ROLES = ("director", "instructor", "student", "anonymous")
# Pages that look another for each of the objects in the cast's list; of the rest the first one's is walked.
OF_SEVERAL = {
    "curriculum:figure",
    "lessons:at-home",
    "lessons:lesson",
    "lessons:live",
    "lessons:missed",
    "lessons:my-level-course",
    "lessons:plan",
    "lessons:plan-publish",
    "lessons:plan-run",
    "lessons:private-lesson",
    "lessons:ready",
    "lessons:record",
    "lessons:sign-off-person",
    "lessons:sign-offs",
    "school:person",
}
MAIN = re.compile(r"<main.*</main>", re.DOTALL)
ANOTHER_EACH_TIME = re.compile(r'csrfmiddlewaretoken" value="\w+|"[0-9a-f]{8}-[0-9a-f-]{27}"')


@pytest.fixture
def cast(settings, db):
    settings.TODAY = STORY_DAY.isoformat()
    return whole_school()


@pytest.fixture
def cast_and_runs(cast):
    return cast | planning_runs(cast)


def addresses(cast, who):
    """(name, address) of all that `who` may read."""
    for name, entry in PATTERNS:
        (may_read, _), objects = WALK[name]
        if may_read.split()[WHO.index(who)] != "ok":
            continue
        # What only takes what is sent refuses to be read, whatever object it is given.
        kept = {key: cast.get(key, [1]) for key in objects.values()}
        first = {key: one[0] if isinstance(one, list) else one for key, one in kept.items()}
        several = kept[objects["pk"]] if name in OF_SEVERAL else [first.get(objects.get("pk"))]
        for one in several:
            yield name, address(name, entry, first | {objects.get("pk"): one})


def client_of(person):
    client = Client()
    if person:
        client.force_login(person)
    return client


def main_part(answer):
    """What a page says, without what is another each time; None where the answer is no page."""
    if answer.status_code != 200 or not answer.headers["content-type"].startswith("text/html"):
        return None
    found = MAIN.search(answer.content.decode())
    return found and ANOTHER_EACH_TIME.sub("", found[0])


@pytest.fixture
def browser_of(cast, live_server, visit):
    """browser_of("director") is their page in a browser of their own, signed in, on a phone."""

    def arrive(who):
        visitor = visit(live_server.url, viewport=PHONE)
        if person := cast["people"][who]:
            session = client_of(person).cookies["sessionid"].value
            visitor.context.add_cookies([{"name": "sessionid", "value": session, "url": live_server.url}])
        return visitor.page

    return arrive


def test_no_page_breaks_a_rule(cast_and_runs, browser_of):
    cast = cast_and_runs
    seen, broken, statuses = set(), [], {}
    for who in ROLES:
        client, page = client_of(cast["people"][who]), browser_of(who)
        for name, walked in addresses(cast, who):
            answer = client.get(walked)
            statuses.setdefault(name, set()).add(answer.status_code)
            said = main_part(answer)
            if said is None or said in seen:
                continue
            seen.add(said)
            page.goto(walked)
            broken += [f"{who} at {walked}, {fault}" for fault in faults(page)]
    assert not broken, "\n".join(broken)
    assert [name for name, all_of_it in statuses.items() if all_of_it == {404}] == [], "whole_school lacks it"
    assert len(seen) > 130


FORMS = """() => [...document.querySelectorAll("main form[method=post]")].filter((form) =>
  form.querySelector("input:not([type=hidden], [type=checkbox], [type=radio]), textarea, select"))"""
# Sends the form of this number with nothing in it, save that a lesson whose hour has not come has been given.
SEND_EMPTY = f"""(number) => {{
  const form = ({FORMS})()[number];
  form.noValidate = true;
  for (const field of form.querySelectorAll("input:not([type=hidden], [type=checkbox], [type=radio])")) {{
    field.value = field.type === "number" ? "-1" : "";
  }}
  for (const field of form.querySelectorAll("[name=early]")) field.checked = true;
  for (const field of form.querySelectorAll("textarea")) field.value = "";
  for (const field of form.querySelectorAll("select")) field.selectedIndex = 0;
  form.requestSubmit(form.querySelector("button:not([type=button], [name=do])"));
}}"""
# A field that was refused says so where it stands, also to those who hear the page.
UNSAID = """() => [...document.querySelectorAll("main [aria-invalid=true]")].filter((field) => {
  const about = field.getAttribute("aria-describedby") ?? field.closest("fieldset[aria-describedby]")
    ?.getAttribute("aria-describedby");
  const ids = (about ?? "").split(" ");
  return !ids.some((id) => document.getElementById(id)?.textContent.trim());
}).map((field) => `nothing is said of ${field.outerHTML.slice(0, 160)}`)"""


def test_no_form_that_was_refused_breaks_a_rule(cast_and_runs, browser_of):
    cast = cast_and_runs
    page, broken, refused = browser_of("director"), [], set()
    client, walked_once = client_of(cast["people"]["director"]), {}
    for name, walked in addresses(cast, "director"):
        walked_once.setdefault(name, walked)
    for walked in walked_once.values():
        if 'method="post"' not in (main_part(client.get(walked)) or ""):
            continue
        page.goto(walked)
        for number in range(page.evaluate(f"({FORMS})().length")):
            page.goto(walked)
            with page.expect_navigation():
                page.evaluate(SEND_EMPTY, number)
            if page.locator("main :is(.error, .note.bad)").count():
                refused.add(walked)
                found = [*phone_faults(page), *page.evaluate(UNSAID)]
                broken += [f"form {number + 1} of {walked}, refused, {fault}" for fault in found]
    assert not broken, "\n".join(broken)
    assert len(refused) > 30


class TestWhatOpensOnAPage:
    """By a script, or over the page: it is looked at once it is there."""

    @pytest.fixture
    def director(self, browser_of):
        return browser_of("director")

    def register(self, director, cast):
        director.set_viewport_size(WIDE)
        director.goto(reverse("lessons:plan", args=[cast["plan"][0]]))
        return director.locator("#register [data-mark=new]").last

    def test_on_the_register(self, director, cast):
        mark = self.register(director, cast)
        mark.click()
        expect(director.locator("#card .card")).to_be_visible()
        director.locator("#card").get_by_text("Why is it here?").click()
        expect(director.locator("#card-why")).not_to_be_empty()
        assert faults(director) == []

        mark = self.register(director, cast)
        mark.focus()
        director.keyboard.press("Enter")
        expect(director.locator("#board-hold .over")).to_contain_text("it stands here")
        look_at(director)
        assert axe(director, "html") == []
        director.keyboard.press("ArrowLeft")
        director.keyboard.press("Enter")
        expect(director.locator("#board-said.touched")).to_contain_text("went from")
        assert shown_faults(director, "moved", "html") == []

    def test_in_the_builder_of_routines(self, director, cast):
        director.goto(reverse("curriculum:routine-build", args=[cast["routine"]]))
        director.locator(".builder-list th a").nth(1).click()
        expect(director.locator(".place-panel")).to_be_visible()
        assert faults(director) == []

    def test_in_the_grid_of_a_chart(self, director, cast):
        director.goto(reverse("curriculum:chart-edit", args=[cast["chart"]]))
        director.get_by_label("leader foot, row 2", exact=True).fill("X")
        with director.expect_response(lambda answer: answer.request.method == "POST"):
            director.keyboard.press("Tab")
        director.locator(".row-menu summary").first.click()
        look_at(director)
        assert axe(director, ".row-menu[open]") == []

    def test_while_a_lesson_is_taught(self, director, cast):
        director.clock.install(time=dt.datetime.combine(STORY_DAY, dt.time(18, 30)))
        director.goto(reverse("lessons:live", args=[cast["lesson"][0]]))
        director.get_by_role("button", name="Begin now").click()
        expect(director.get_by_role("button", name="2 more minutes")).to_be_visible()
        assert faults(director) == []

    def test_while_what_we_did_is_written_down(self, director, cast):
        director.goto(reverse("lessons:record", args=[cast["lesson"][0]]))
        new = director.locator(".outcome-row", has=director.locator(".tag.new")).first
        new.get_by_role("radio", name="to finish later").check()
        expect(new.get_by_label("Minutes still needed")).to_be_visible()
        assert faults(director) == []

    def test_among_what_is_found(self, director, cast):
        director.goto(reverse("curriculum:figures"))
        director.locator("#q").fill("turn")
        expect(director.locator("#found")).to_contain_text("natural turn")
        assert faults(director) == []


class TestTheChecksThemselves:
    """What is broken on purpose is found."""

    BREAK = """(style) => {
      const broken = document.createElement("div");
      broken.innerHTML = "<a href='/'>one way</a><a href='/'>another</a><p id='words'>hardly to be read</p>";
      document.querySelector("main").append(broken);
      const look = new CSSStyleSheet();
      look.replaceSync(style);
      document.adoptedStyleSheets = [look];
    }"""

    @pytest.mark.parametrize(
        ("style", "said"),
        [
            ("#words { color: #ccc; background: #fff }", "phone: color-contrast"),
            ("@media (prefers-color-scheme: dark) { #words { color: #444 } }", "phone, dark: color-contrast"),
            (
                "@media (min-width: 60rem) { #words { color: #ccc } }"
                "@media (max-width: 60rem) { #words { display: none } }",
                "wide: color-contrast",
            ),
            ("#words { width: 400px }", "px too wide"),
            ("h1 { width: 1ch; overflow-wrap: anywhere }", "is broken in <h1"),
            ("main a:focus { outline: none }", "nothing shows that the keyboard is at"),
            ("footer { position: fixed; inset: 0; z-index: 99 }", "the keyboard is out of sight at"),
            ("main div a { display: block; height: 9px; overflow: hidden }", "phone: target-size"),
        ],
    )
    def test_they_find_it(self, live_server, visit, school, style, said):
        page = visit(live_server.url, viewport=PHONE).page
        page.goto(reverse("school:sign-in"))
        assert faults(page) == []
        page.evaluate(self.BREAK, style)
        assert said in "\n".join(faults(page))
