"""A routine built in a real browser by keyboard alone: broken, mended by a bridge, undone, moved about, and
another composed and saved; one dragged. The waltz is the demo school's."""

import pytest

from curriculum.models import Routine
from lessons.demo.dance_rows import load_dance

pytestmark = pytest.mark.django_db(transaction=True)
PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}


@pytest.fixture
def waltz(school):
    return load_dance("waltz")


@pytest.fixture
def routine(waltz):
    return Routine.objects.create(level=waltz.levels[2], name="the built one")


@pytest.fixture
def at_the_page(at_the_page, waltz):
    """The waltz is there before its pages are."""
    return at_the_page


def press(page, button, **options):
    """By keyboard: the button has the focus, and Enter is struck."""
    page.get_by_role("button", name=button, **options).first.focus()
    page.keyboard.press("Enter")


def stands(page, *figures):
    """The row as the list shows it."""
    listed = page.locator(".builder-list tbody tr:not(.corner-row) th a")
    names = ["The start", *figures]
    for place, name in enumerate(names):
        page.locator(f".builder-list th a >> nth={place}").filter(has_text=name).wait_for()
    assert listed.all_inner_texts() == names


def block(page, number):
    return page.locator(f".strip-picture.wide a.piece[aria-label^='{number}. ']")


def kept(routine):
    items = routine.items.select_related("passage__figure").order_by("position")
    return [item.passage.figure.name if item.passage else "corner" for item in items]


def test_a_routine_is_built_broken_and_mended_by_keyboard(at_the_page, routine):
    page = at_the_page("routine-build", routine.pk)
    page.get_by_role("heading", name="The start").wait_for()
    press(page, "whisk", exact=False)
    stands(page, "whisk")
    # what follows is chosen from what connects
    press(page, "chasse from promenade")
    stands(page, "whisk", "chasse from promenade")
    press(page, "natural turn")
    stands(page, "whisk", "chasse from promenade", "natural turn")
    assert "The figures connect from first to last." in page.locator(".report-line").inner_text()
    # Taking the middle out breaks the join: whisk ends in promenade, the turn starts closed.
    block(page, 2).focus()
    page.keyboard.press("Delete")
    stands(page, "whisk", "natural turn")
    page.locator(".report-line").get_by_text("1 join doesn’t connect.").wait_for()
    block(page, 1).focus()
    page.keyboard.press("ArrowRight")
    assert page.evaluate("document.activeElement.dataset.place") == "2"
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="Bridges").wait_for()
    press(page, "Bridge: chasse from promenade")
    stands(page, "whisk", "chasse from promenade", "natural turn")
    press(page, "Undo")
    stands(page, "whisk", "natural turn")
    press(page, "Undo")
    stands(page, "whisk", "chasse from promenade", "natural turn")
    assert kept(routine) == ["whisk", "chasse from promenade", "natural turn"]


IN_SIGHT = """(thing) => {
    const { top, bottom } = thing.getBoundingClientRect();
    const covered = document.querySelector(".report-line").getBoundingClientRect().bottom;
    return top >= covered && bottom <= window.innerHeight;
}"""


@pytest.mark.parametrize("by", ["keys", "mouse"])
def test_mend_leads_to_the_bridges_which_stand_in_sight_at_the_broken_join(at_the_page, waltz, routine, by):
    fill(routine, waltz, "box step", "box step", "whisk", "natural turn")
    page = at_the_page("routine-build", routine.pk)
    mend = page.get_by_role("link", name="Mend the join into 4. natural turn")
    mend.scroll_into_view_if_needed()
    if by == "keys":
        mend.press("Enter")
    else:
        mend.click()
    page.locator("#bridges:focus").wait_for()
    assert page.locator("#bridges").evaluate(IN_SIGHT)
    assert page.locator(".place-panel .join-line").evaluate(IN_SIGHT)
    page.keyboard.press("Tab")
    assert "Bridge: chasse from promenade" in page.evaluate("document.activeElement.innerText")
    page.keyboard.press("Enter")
    stands(page, "box step", "box step", "whisk", "chasse from promenade", "natural turn")


def test_after_a_link_of_the_list_the_focus_is_at_what_can_be_done_there(at_the_page, waltz, routine):
    fill(routine, waltz, "box step", "whisk")
    page = at_the_page("routine-build", routine.pk)
    page.locator(".builder-list").get_by_role("link", name="box step").press("Enter")
    page.locator("#place:focus").filter(has_text="1. box step").wait_for()
    page.get_by_role("link", name="Put in its place").press("Enter")
    page.locator("#put-instead:focus[aria-current]").wait_for()


def test_after_the_first_figure_is_taken_out_the_focus_is_at_the_next(at_the_page, waltz, routine):
    fill(routine, waltz, "box step", "whisk")
    page = at_the_page("routine-build", routine.pk)
    block(page, 1).focus()
    page.keyboard.press("Delete")
    stands(page, "whisk")
    page.locator(".strip-picture.wide a:focus[aria-label='1. whisk']").wait_for()


def go_back(page):
    """Back, until what was there is put anew."""
    page.evaluate(
        """() => {
            window.shown = new Promise((done) =>
                document.body.addEventListener("htmx:historyRestore", () => done(true), { once: true }));
        }"""
    )
    page.go_back()
    assert page.evaluate("() => window.shown")


def test_back_shows_the_routine_as_it_is_now(at_the_page, waltz, routine):
    """Not as it was when the page was left: what would be done there would be refused as overtaken."""
    fill(routine, waltz, "box step", "whisk")
    page = at_the_page("routine-build", routine.pk)
    page.locator(".builder-list").get_by_role("link", name="box step").click()
    page.get_by_role("heading", name="1. box step").wait_for()
    page.locator(".builder-list").get_by_role("link", name="whisk").click()
    page.get_by_role("heading", name="2. whisk").wait_for()
    press(page, "Take out")
    page.get_by_role("heading", name="1. box step").wait_for()
    go_back(page)
    go_back(page)
    stands(page, "box step")
    block(page, 1).focus()
    page.keyboard.press("Delete")
    page.get_by_text("No figure stands in it yet.").wait_for()
    assert kept(routine) == []


def test_one_is_composed_another_asked_for_and_saved(at_the_page, waltz, routine):
    page = at_the_page("routine-build", routine.pk)
    page.get_by_role("link", name="Compose one").focus()
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="Compose a routine").wait_for()
    page.get_by_role("group", name="Must be in").get_by_label("whisk").focus()
    page.keyboard.press("Space")
    press(page, "Compose")
    page.get_by_role("heading", name="A proposal").wait_for()
    assert "48 beats, 16 bars, 2 phrases." in page.locator(".strip-sum").inner_text()
    page.get_by_role("link", name="Another").focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**seed=2**")
    proposed = page.locator(".composed-row li:not(.corner)").all_inner_texts()
    page.get_by_label("Name of the routine").fill("the composed one")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="Build the composed one").wait_for()
    made = Routine.objects.get(name="the composed one")
    assert len(kept(made)) >= len(proposed)
    assert "whisk" in kept(made)
    assert "The figures connect from first to last." in page.locator(".report-line").inner_text()


def test_a_figure_moves_by_keyboard_and_keeps_the_focus(at_the_page, waltz, routine):
    fill(routine, waltz, "box step", "whisk", "chasse from promenade")
    page = at_the_page("routine-build", routine.pk)
    block(page, 3).focus()
    page.keyboard.press("Alt+ArrowLeft")
    stands(page, "box step", "chasse from promenade", "whisk")
    page.locator(".strip-picture.wide a:focus[data-place='2']").wait_for()
    page.keyboard.press("Alt+ArrowLeft")
    stands(page, "chasse from promenade", "box step", "whisk")


def test_a_corner_is_walked_to_and_moved_like_a_figure(at_the_page, waltz, routine):
    fill(routine, waltz, "natural turn", "box step")
    page = at_the_page("routine-build", routine.pk)
    page.get_by_role("link", name="1. natural turn").locator("visible=true").click()
    page.get_by_role("heading", name="1. natural turn").wait_for()
    press(page, "Put in a corner of the room")
    page.get_by_role("heading", name="The corner").wait_for()
    block(page, 1).focus()
    page.keyboard.press("ArrowRight")
    assert page.evaluate("document.activeElement.getAttribute('aria-label')") == "corner of the room"
    page.keyboard.press("Alt+ArrowRight")
    page.locator(".strip-picture.wide a:focus[data-place='3']").wait_for()
    assert kept(routine) == ["natural turn", "box step", "corner"]


def drag(page, thing, goal, x=0.5, y=0.5):
    """Carry `thing` to a place on `goal`, in shares of its width and height, and let it go."""
    thing.scroll_into_view_if_needed()
    thing.hover()
    page.mouse.down()
    box = goal.bounding_box()
    spot = box["x"] + x * box["width"], box["y"] + y * box["height"]
    page.mouse.move(spot[0] + 12, spot[1], steps=5)
    page.mouse.move(*spot, steps=2)
    page.mouse.up()


def test_a_figure_is_dragged_along_the_row_and_off_it(at_the_page, waltz, routine):
    fill(routine, waltz, "box step", "whisk", "chasse from promenade")
    page = at_the_page("routine-build", routine.pk)
    drag(page, block(page, 3), block(page, 1), x=0.1)
    stands(page, "chasse from promenade", "box step", "whisk")
    drag(page, block(page, 1), block(page, 3), x=0.9)
    stands(page, "box step", "whisk", "chasse from promenade")
    drag(page, block(page, 2), block(page, 2), y=-2.5)
    stands(page, "box step", "chasse from promenade")
    assert kept(routine) == ["box step", "chasse from promenade"]


def test_a_choice_is_dragged_into_a_gap_or_onto_a_figure(at_the_page, waltz, routine):
    fill(routine, waltz, "box step", "whisk")
    page = at_the_page("routine-build", routine.pk)
    chasse = page.locator(".choices .choice").filter(has_text="chasse from promenade").first
    drag(page, chasse, block(page, 1), x=0.1)
    stands(page, "chasse from promenade", "box step", "whisk")
    page.get_by_role("link", name="3. whisk").locator("visible=true").click()
    page.get_by_role("heading", name="3. whisk").wait_for()
    drag(page, chasse, block(page, 2), x=0.5)
    stands(page, "chasse from promenade", "chasse from promenade", "whisk")


def test_on_a_phone_the_builder_is_no_wider_than_the_screen(at_the_page, waltz, routine):
    fill(routine, waltz, "box step", "whisk", "chasse from promenade")
    page = at_the_page("routine-build", routine.pk, **PHONE)
    wider = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    assert page.evaluate(wider) <= 0
    page.locator(".strip-picture.narrow a.piece[aria-label^='2. ']").tap()
    page.get_by_role("heading", name="2. whisk").wait_for()


def test_a_tempo_is_tapped(at_the_page):
    page = at_the_page("piece-new")
    button = page.get_by_role("button", name="Tap with the beat")
    button.focus()
    # Events carry the browser's own time, so the taps are given theirs: half a second apart is 120 a minute.
    page.evaluate(
        """() => {
            const button = document.activeElement;
            for (let tap = 0; tap < 5; tap += 1) {
                const event = new KeyboardEvent("keydown", { key: " ", bubbles: true, cancelable: true });
                Object.defineProperty(event, "timeStamp", { value: 1000 + tap * 500 });
                button.dispatchEvent(event);
            }
        }"""
    )
    page.get_by_text("120 beats a minute, from 5 taps.").wait_for()
    assert page.get_by_label("Beats a minute").input_value() == "120"


def fill(routine, waltz, *figures):
    for place, name in enumerate(figures, start=1):
        routine.items.create(position=place * 10, passage=waltz.passages[name])
