"""What goes wrong on a small screen only, or on a page of which only parts come anew."""

import pytest
from playwright.sync_api import expect

PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}
WHERE_WORDS_STAND = """() => [...document.querySelectorAll(
  ".top-find-link, .who a, .who button")].map((one) => {
  const words = document.createRange();
  words.selectNode(one.querySelector(".first-name")?.firstChild ?? one.firstChild);
  const { top, bottom } = words.getBoundingClientRect();
  return [top, bottom];
})"""


@pytest.fixture
def phone(served_to_all, visit):
    return visit(served_to_all.address, **PHONE).sign_in("instructor")


def test_the_words_of_the_header_stand_on_one_line(phone):
    places = phone.evaluate(WHERE_WORDS_STAND)
    assert len(places) == 3
    for edge in zip(*places, strict=True):
        assert max(edge) - min(edge) < 0.1


def test_what_to_finish_later_opens_is_not_hidden_by_the_bar(phone):
    phone.get_by_role("link", name="Run-sheet").first.click()
    phone.get_by_role("link", name="What we did").click()
    new = phone.locator(".outcome-row", has=phone.locator(".tag.new")).first
    choice = new.get_by_role("radio", name="to finish later")
    bar = phone.locator(".press")
    # The choice stands just above the bar; what it opens would lie under it.
    lower = choice.bounding_box()["y"] + 52 - bar.bounding_box()["y"]
    phone.evaluate("by => window.scrollBy(0, by)", lower)
    choice.check()
    minutes = new.get_by_label("Minutes still needed")
    expect(minutes).to_be_visible()
    under = minutes.bounding_box()
    assert under["y"] + under["height"] <= bar.bounding_box()["y"]


def test_a_message_goes_with_the_next_action_also_where_only_a_part_of_the_page_comes_anew(phone):
    phone.get_by_role("link", name="Private", exact=True).click()
    phone.locator("table").last.get_by_role("link").click()
    phone.get_by_role("button", name="Write it up").click()
    said = phone.locator(".messages")
    expect(said).to_contain_text("Written up for Thea Winnow.")
    ask = "verb => htmx.trigger(document.body, 'htmx:beforeRequest', { requestConfig: { verb } })"
    phone.evaluate(ask, "get")
    expect(said).to_be_visible()
    phone.evaluate(ask, "post")
    expect(said).to_have_count(0)


SIDEWAYS = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"


def test_a_sheet_with_music_is_changed_without_scrolling_sideways(phone):
    phone.get_by_role("link", name="Run-sheet").first.click()
    phone.get_by_role("link", name="Change the sheet").click()
    music = phone.locator(".edit-music select")
    assert music.count() > 1
    assert phone.evaluate(SIDEWAYS) == 0
    for number in range(music.count()):
        stands = music.nth(number).bounding_box()
        assert stands["x"] + stands["width"] <= 360


def test_a_table_of_partners_says_on_a_phone_that_it_goes_on(phone):
    phone.get_by_role("link", name="Run-sheet").first.click()
    phone.get_by_role("link", name="Who dances with whom").first.click()
    words = phone.get_by_text("Move the table sideways to read as far as round 4.")
    phone.goto(f"{phone.url.split('?')[0]}?minutes=12")
    expect(words).to_be_visible()
    phone.set_viewport_size({"width": 1200, "height": 800})
    expect(words).to_be_hidden()


class TestACoursesPage:
    @pytest.fixture
    def course(self, phone):
        phone.get_by_role("link", name="Run-sheet").first.click()
        phone.locator(".crumbs a").last.click()
        return phone

    def test_tonight_is_marked_in_one_piece(self, course):
        painted = "row => getComputedStyle(row).backgroundColor"
        tonight, other = course.locator("tr.tonight"), course.locator(".lesson-list tr:not(.tonight)").last
        assert tonight.evaluate(painted) != other.evaluate(painted)

    def test_bars_that_go_on_beyond_the_screen_say_so_and_move_by_keys(self, course):
        """A shadow stands at the edge until their end is reached; above them the picture is empty."""
        bars = course.get_by_role("group", name="What can be danced in")
        bars.focus()
        assert bars.evaluate("box => box.scrollWidth - box.clientWidth") > 0

        def edge():
            box = bars.bounding_box()
            return course.screenshot(
                clip={"x": box["x"] + box["width"] - 6, "y": box["y"] + 1, "width": 5, "height": 5}
            )

        more = edge()
        for _ in range(10):
            course.keyboard.press("ArrowRight")
        course.wait_for_function(
            "box => box.scrollLeft + box.clientWidth >= box.scrollWidth - 1", arg=bars.element_handle()
        )
        assert edge() != more
