"""The director's register in a browser: marks dragged and carried by keys, reasons read, moves taken back,
two people at one draft, without a script, on a phone, and the pictures on paper."""

import io
import re

import pytest
from playwright.sync_api import expect
from pypdf import PdfReader

COURSE = "Waltz Beginners 1"
FIGURE = "reverse turn"


def open_draft(page):
    """A new draft of the course, from its published plan; answers its address."""
    page.goto("/term/")
    page.get_by_role("link", name=f"plan of {COURSE}").click()
    page.get_by_role("button", name="Change it in a draft").first.click()
    expect(page.locator("#register[data-version]")).to_be_visible()
    return page.url


@pytest.fixture
def director(served_to_all, visit):
    return visit(served_to_all.address, viewport={"width": 1366, "height": 850}).sign_in("director")


def line(page, figure=FIGURE):
    return page.locator("#register tbody tr").filter(has=page.locator(f".name a:text-is('{figure}')"))


def mark(page, figure=FIGURE, kind="new"):
    return line(page, figure).locator(f"[data-mark={kind}]").first


def stands_in(page, figure=FIGURE):
    """The number of the lesson a figure is new in, as the register draws it."""
    return page.evaluate(
        """(row) => {
          const cells = [...row.querySelectorAll(":scope > td")];
          const at = cells.findIndex((cell) => cell.querySelector(".mark.new"));
          const head = document.querySelectorAll("#board-lessons > th")[at];
          return at < 0 ? null : Number(head.querySelector(".ordinal").lastChild.textContent);
        }""",
        line(page, figure).element_handle(),
    )


def drag(page, grip, number):
    """Drag a mark over the column of the lesson of this number, and hold it there."""
    grip.evaluate("mark => mark.scrollIntoView({block: 'center'})")
    start = grip.bounding_box()
    over = page.locator(f"#lesson-{number}").bounding_box()
    y = start["y"] + start["height"] / 2
    page.mouse.move(start["x"] + start["width"] / 2, y)
    page.mouse.down()
    page.mouse.move(start["x"] + start["width"] / 2 + 12, y, steps=3)
    expect(page.locator("#register .says").first).not_to_be_empty()
    page.mouse.move(over["x"] + over["width"] / 2, y, steps=6)


def test_a_mark_is_dragged_says_why_not_and_is_taken_back(director):
    open_draft(director)
    stood = stands_in(director)
    last = director.locator("#board-lessons > th[data-lesson]").count()
    last = int(director.locator("#board-lessons > th[data-lesson] .ordinal").nth(last - 1).inner_text()[-2:])
    drag(director, mark(director), last)
    row = line(director)
    # Each lesson says so in its own cell, in a word and a sign; what must come first is lit.
    says = row.locator(".says").all_inner_texts()
    assert says
    assert all(re.match(r"[✓✕] \S|stands here", said) for said in says)
    expect(row.locator("td.may-not.target")).to_have_count(1)
    expect(director.locator("#board-hold .over")).to_contain_text(f"Lesson {last}")
    expect(director.locator("#board-hold .over")).to_contain_text("✕")
    expect(line(director, "natural turn")).to_have_class(re.compile("is-needed"))
    director.mouse.up()
    said = director.locator("#board-said.touched")
    expect(said).to_contain_text(f"{FIGURE} went from lesson {stood} to lesson {last}.")
    expect(said).to_contain_text("breaks:")
    expect(said).to_contain_text("Minutes in the fullest lesson")
    assert stands_in(director) == last
    expect(mark(director)).to_be_focused()
    said.get_by_role("button", name="Take it back").click()
    expect(said).to_contain_text("Taken back:")
    assert stands_in(director) == stood


def test_a_mark_let_go_outside_stays_where_it_was(director):
    open_draft(director)
    stood = stands_in(director)
    drag(director, mark(director), stood + 1)
    director.mouse.move(5, 5)
    director.mouse.up()
    expect(director.locator("#board-hold")).to_be_hidden()
    assert stands_in(director) == stood
    expect(director.locator("#board-said.touched")).to_have_count(0)


def test_a_lesson_that_has_been_refuses_a_mark_with_its_reason(director):
    open_draft(director)
    stood = stands_in(director)
    past = director.locator("#board-lessons > th.past[data-refuses]").last
    number = int(past.get_attribute("id").removeprefix("lesson-"))
    drag(director, mark(director), number)
    director.mouse.up()
    expect(director.locator("#board-said.touched")).to_contain_text("has been. Nothing can be put there.")
    assert stands_in(director) == stood


def test_ones_own_take_back_is_no_news(director):
    open_draft(director)
    stood = stands_in(director)
    drag(director, mark(director), stood + 1)
    director.mouse.up()
    said = director.locator("#board-said.touched")
    said.get_by_role("button", name="Take it back").click()
    expect(said).to_contain_text("Taken back:")
    drag(director, mark(director), stood + 1)
    director.mouse.up()
    expect(said).to_contain_text(f"{FIGURE} went from lesson {stood} to lesson {stood + 1}.")
    expect(said).not_to_contain_text("Changed meanwhile")


def test_a_mark_is_carried_by_keys(director):
    open_draft(director)
    stood = stands_in(director)
    over = director.locator("#board-hold .over")
    mark(director).focus()
    expect(line(director, "natural turn")).to_have_class(re.compile("is-needed"))
    director.keyboard.press("Enter")
    expect(mark(director)).to_have_attribute("aria-pressed", "true")
    expect(over).to_contain_text("it stands here")
    director.keyboard.press("ArrowRight")
    expect(over).to_contain_text(f"Lesson {stood + 1}")
    # Esc leaves it, and the focus, where it was.
    director.keyboard.press("Escape")
    expect(director.locator("#board-hold")).to_be_hidden()
    assert stands_in(director) == stood
    expect(mark(director)).to_be_focused()
    director.keyboard.press("Space")
    expect(over).to_contain_text("it stands here")
    director.keyboard.press("ArrowRight")
    director.keyboard.press("ArrowRight")
    director.keyboard.press("Enter")
    expect(director.locator("#board-said.touched")).to_contain_text(f"to lesson {stood + 2}.")
    expect(mark(director)).to_be_focused()
    # Out of the plan: the figure keeps a mark to take up again beside its name.
    director.keyboard.press("Enter")
    expect(over).to_contain_text("it stands here")
    director.keyboard.press("Delete")
    expect(over).to_contain_text("must be taught")
    director.keyboard.press("Enter")
    expect(line(director)).to_contain_text("not in any lesson")
    expect(line(director).locator(".name [data-mark]")).to_be_focused()


def test_an_again_is_carried_too_and_several_moves_are_taken_back(director):
    open_draft(director)
    stood = stands_in(director)
    for _ in range(2):
        mark(director).focus()
        director.keyboard.press("Enter")
        expect(director.locator("#board-hold .over")).to_contain_text("it stands here")
        director.keyboard.press("ArrowRight")
        director.keyboard.press("Enter")
        expect(director.locator("#board-said.touched")).to_contain_text("went from")
        expect(director.locator("#board-hold")).to_be_hidden()
    assert stands_in(director) == stood + 2
    mark(director, kind="again").focus()
    director.keyboard.press("Enter")
    expect(director.locator("#board-hold .held")).to_contain_text("Again")
    expect(director.locator("#register .says").first).not_to_be_empty()
    director.keyboard.press("End")
    director.keyboard.press("Enter")
    expect(director.locator("#board-said.touched")).to_contain_text("comes again in")
    director.get_by_role("link", name="all changes").click()
    expect(director.locator(".steps li")).to_have_count(3)
    director.get_by_role("button", name="Take back to here").last.click()
    expect(director.locator("#register")).to_be_visible()
    assert stands_in(director) == stood


def test_the_second_writer_sees_what_the_first_did_and_overwrites_nothing(served_to_all, visit, director):
    address = open_draft(director)
    other = visit(served_to_all.address, viewport={"width": 1366, "height": 850}).sign_in("director")
    other.goto(address)
    stood = stands_in(other)
    mark(director).focus()
    director.keyboard.press("Enter")
    expect(director.locator("#board-hold .over")).to_contain_text("it stands here")
    director.keyboard.press("ArrowRight")
    director.keyboard.press("Enter")
    expect(director.locator("#board-said.touched")).to_contain_text("went from")
    # The other one takes up a mark of the register as it was: first they see what changed.
    mark(other).focus()
    other.keyboard.press("Enter")
    notice = other.locator("#board-said.touched")
    expect(notice).to_contain_text("Changed meanwhile")
    expect(notice).to_contain_text(f"{FIGURE} went from lesson {stood} to lesson {stood + 1}.")
    assert stands_in(other) == stood + 1
    # And the first one, on opening a card, sees what the other did then.
    mark(other, "left box turn").focus()
    other.keyboard.press("Enter")
    expect(other.locator("#board-hold .over")).to_contain_text("it stands here")
    other.keyboard.press("ArrowLeft")
    other.keyboard.press("Enter")
    expect(other.locator("#board-said.touched")).to_contain_text("left box turn went")
    director.get_by_role("button", name="Close").click()
    line(director, "left box turn").locator(".name a").first.click()
    expect(director.locator("#card .card")).to_be_visible()
    expect(director.locator("#board-said.touched")).to_contain_text("left box turn went")


def test_a_click_on_a_mark_opens_its_figures_card(director):
    open_draft(director)
    mark(director).click()
    expect(director.locator("#card .card h2")).to_have_text(FIGURE)
    expect(director.locator("#board-hold")).to_be_hidden()


def test_without_a_script_the_form_does_the_same(served_to_all, visit, director):
    address = open_draft(director)
    plain = visit(served_to_all.address, java_script_enabled=False).sign_in("director")
    plain.goto(address)
    mark(plain).click()
    lessons = plain.get_by_label("New in")
    stood = lessons.input_value()
    lessons.select_option(index=lessons.locator("option").count() - 1)
    plain.get_by_role("button", name="Save").click()
    expect(plain.get_by_text(f"Saved: {FIGURE}.")).to_be_visible()
    plain.goto(address)
    expect(plain.get_by_text("does not fit").first).to_be_visible()
    plain.get_by_role("button", name="Take it back").click()
    mark(plain).click()
    expect(plain.get_by_label("New in")).to_have_value(stood)


def test_on_a_phone_it_is_a_list_by_lesson(served_to_all, visit, director):
    address = open_draft(director)
    phone = visit(
        served_to_all.address, viewport={"width": 360, "height": 740}, has_touch=True, is_mobile=True
    )
    page = phone.sign_in("director")
    page.goto(address)
    expect(page.locator("#register")).to_be_hidden()
    evening = page.locator(".evening").filter(has_text=FIGURE).first
    expect(evening).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    evening.get_by_role("link", name=FIGURE).tap()
    expect(page.locator("#card .card h2")).to_have_text(FIGURE)
    page.get_by_role("link", name="Close", exact=True).tap()
    page.get_by_text("Show the whole register").tap()
    expect(page.locator("#register")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 360


NAMELESS = """() => {
  const named = (element) => element.getAttribute("aria-label")?.trim() || element.textContent.trim()
    || element.title || element.labels?.length;
  const fields = "main a, main button, main input:not([type=hidden]), main select";
  const shown = [...document.querySelectorAll(fields)];
  const ids = [...document.querySelectorAll("[id]")].map((element) => element.id);
  const described = [...document.querySelectorAll("[aria-describedby], [aria-labelledby]")];
  return {
    nameless: shown.filter((element) => !named(element)).map((element) => element.outerHTML),
    twice: ids.filter((id, place) => ids.indexOf(id) !== place),
    dangling: described.flatMap((element) => (element.getAttribute("aria-describedby") ?? "").split(" ")
      .concat((element.getAttribute("aria-labelledby") ?? "").split(" ")))
      .filter((id) => id && !document.getElementById(id)),
  };
}"""


def test_everything_has_a_name_and_every_id_is_one(director):
    open_draft(director)
    clean = {"nameless": [], "twice": [], "dangling": []}
    assert director.evaluate(NAMELESS) == clean
    mark(director).click()
    expect(director.locator("#card .card")).to_be_visible()
    assert director.evaluate(NAMELESS) == clean
    expect(mark(director)).to_have_role("button")
    expect(director.locator("#board-hold .over")).to_have_attribute("aria-live", "assertive")


def on_paper(page):
    pdf = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))
    box = pdf.pages[0].mediabox
    said = " ".join(" ".join(sheet.extract_text() for sheet in pdf.pages).split())
    return len(pdf.pages), (round(box.width), round(box.height)), said


def test_the_pictures_are_one_page_across(director):
    director.goto("/term/")
    director.get_by_role("link", name=f"plan of {COURSE}").click()
    director.get_by_role("link", name="On one page").click()
    expect(director.locator("svg.term-picture")).to_be_visible()
    pages, size, said = on_paper(director)
    assert (pages, size) == (1, (842, 595))
    assert FIGURE in said
    assert "minutes of each lesson" in said
    assert "Back to the register" not in said
    director.get_by_text("The same in words").click()
    expect(director.get_by_role("row", name=re.compile(f"^{FIGURE} new in lesson"))).to_be_visible()
    director.goto("/term/")
    director.get_by_role("link", name="On one page").click()
    expect(director.get_by_role("heading", name="The courses, week by week")).to_be_visible()
    expect(director.locator("svg.term-picture")).to_be_visible()
    pages, size, said = on_paper(director)
    assert (pages, size) == (1, (842, 595))
    assert COURSE in said
    assert "Cha-cha Beginners" in said
