"""On paper: run-sheet, cover page and figure's card are each one A4, black on white, with what belongs there.

The pages are made into PDF files by the browser and read again with pypdf.
"""

import io
import re

import pytest
from playwright.sync_api import expect
from pypdf import PdfReader

A4 = (595, 842)  # points
BLACK_AND_GREY = re.compile(r"rgba?\((\d+), (\d+), (\d+)")
COLOURS = """() => {
  const seen = [...document.querySelectorAll("main *")].filter((element) => element.checkVisibility());
  const words = seen.filter((element) => element.textContent.trim()).map(getComputedStyle);
  const strokes = seen.filter((element) => element.matches("svg *")).map(getComputedStyle);
  const all = [
    ...words.flatMap((look) => [look.color, look.backgroundColor]),
    ...strokes.flatMap((look) => [look.fill, look.stroke]),
  ];
  return [...new Set(all)].filter((colour) => colour.startsWith("rgb"));
}"""


def printed(page):
    return PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))


def words(pdf):
    return " ".join(" ".join(page.extract_text() for page in pdf.pages).split())


def is_one_a4(pdf):
    box = pdf.pages[0].mediabox
    return len(pdf.pages) == 1 and (round(box.width), round(box.height)) == A4


def coloured(page):
    """Colours of words and what lies behind them, on paper, that are not black, grey or white."""
    page.emulate_media(media="print")
    found = set()
    for colour in page.evaluate(COLOURS):
        red, green, blue = map(int, BLACK_AND_GREY.match(colour).groups())
        if max(red, green, blue) - min(red, green, blue) > 8:
            found.add(colour)
    page.emulate_media(media="null")
    return found


@pytest.fixture
def page(served_to_readers, visit):
    return visit(served_to_readers.address).sign_in("director")


def hrefs(links):
    return links.evaluate_all("links => links.map((link) => link.getAttribute('href'))")


def test_the_run_sheet_of_tonight(page):
    page.get_by_role("region", name="At the school tonight").get_by_role("link").first.click()
    expect(page.locator(".runsheet .segment").first).to_be_visible()
    title, start = page.locator("h1").inner_text(), page.locator(".runsheet time").first.inner_text()
    segments = page.locator(".segment h3").all_inner_texts()
    pdf = printed(page)
    said = words(pdf)
    assert is_one_a4(pdf)
    assert title.lower() in said.lower()
    assert start in said
    for segment in segments:
        assert " ".join(segment.split()).lower() in said.lower()
    assert "Sign out" not in said
    assert "Live page" not in said
    assert coloured(page) == set()


def evenings(page):
    return hrefs(page.get_by_role("region", name="At the school tonight").locator(".evenings a"))


def lesson_pages(page):
    """Every lesson of the school that is told of on today's page, however long it is."""
    return sorted({href for href in hrefs(page.locator("main a")) if re.fullmatch(r"/lessons/\d+/", href)})


def minutes_of(page):
    return int(re.search(r"(\d+) minutes", page.locator(".ends").inner_text())[1])


def test_a_lesson_over_an_hour_still_fits_and_says_when_to_rest(page):
    lengths = {}
    for lesson in lesson_pages(page):
        page.goto(lesson)
        lengths[lesson] = minutes_of(page)
    longest = max(lengths, key=lengths.get)
    assert lengths[longest] > 60
    page.goto(longest)
    pdf = printed(page)
    said = words(pdf)
    assert is_one_a4(pdf)
    assert "a drink of water" in said
    assert page.locator(".ends .at").inner_text() in said


def test_what_stands_on_the_page_of_whoever_takes_a_lesson_over(page):
    for lesson in evenings(page):
        page.goto(lesson)
        title = page.locator("h1").inner_text()
        segments = page.locator(".segment h3").all_inner_texts()
        page.get_by_text("Take this lesson for me").click()
        page.get_by_role("button", name="Make a link").click()
        page.goto(page.get_by_label("The address").input_value())
        pdf = printed(page)
        said = words(pdf)
        assert is_one_a4(pdf), lesson
        for heading in (title, "Who dances", "Taught so far", "First aid and ways out", "Planned", "Music"):
            assert heading.lower() in said.lower(), lesson
        for segment in segments:
            assert " ".join(segment.split()).lower() in said.lower(), lesson
        assert coloured(page) == set(), lesson


def test_the_card_of_every_figure_that_has_a_chart(page):
    page.goto("/dances/")
    dances = sorted(set(hrefs(page.locator("main a[href^='/dances/']"))))
    figures = set()
    for dance in [href for href in dances if re.fullmatch(r"/dances/\d+/", href)]:
        page.goto(dance)
        figures |= {href for href in hrefs(page.locator("main a")) if re.fullmatch(r"/figures/\d+/", href)}
    assert len(figures) > 60
    too_long = []
    for figure in sorted(figures):
        page.goto(figure)
        if len(printed(page).pages) > 1:
            too_long.append(page.locator("h1").inner_text())
    assert too_long == []


def test_what_stands_on_a_card(page):
    for name in ("natural turn", "basic movement", "underarm pass"):
        page.goto(f"/figures/?q={name.replace(' ', '+')}")
        whole = re.compile(f"^{name}$", re.IGNORECASE)
        page.get_by_role("main").get_by_role("link", name=whole).first.click()
        expect(page.get_by_role("heading", level=1)).to_have_text(whole)
        pdf = printed(page)
        said = words(pdf)
        assert is_one_a4(pdf), name
        for heading in ("How it goes", "In words", "What goes wrong", "Ways in and out", "It needs"):
            assert heading in said, name
        for screen_only in ("Play the counts", "Routines that use it", "Change"):
            assert screen_only not in said, name
        assert coloured(page) == set(), name
