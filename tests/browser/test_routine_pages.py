"""The pages of routines in a real browser: whatever a name is like none is wider than its screen, and on
paper a routine is two pages with the ruler across them. The dances are the demo school's."""

import io
import unicodedata

import pytest
from pypdf import PdfReader

from curriculum.models import Piece
from curriculum.routine_writing import create_routine
from lessons.demo.dance_rows import load_dance

pytestmark = pytest.mark.django_db(transaction=True)
PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}
DESK = {"viewport": {"width": 1366, "height": 850}}
LONG = "W" * 80


@pytest.mark.parametrize("look", [PHONE, DESK], ids=["phone", "desk"])
def test_a_name_of_one_long_word_widens_no_page(at_the_page, school, director, look):
    waltz = load_dance("waltz")
    row = [waltz.passages["whisk"].pk, waltz.passages["natural turn"].pk]
    routine = create_routine(level=waltz.levels[2], name=LONG, by=director, row=row)
    Piece.objects.create(dance=waltz.dance, title="X" * 120, beats_per_minute=87, seconds=165)
    pages = [("music",), ("dance", waltz.dance.pk)]
    pages += [(f"routine{kind}", routine.pk) for kind in ("", "-build", "-edit", "-history", "-remove")]
    for name, *args in pages:
        page = at_the_page(name, *args, **look)
        wider = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert (name, wider) == (name, 0)


def test_a_routine_on_paper_is_two_pages_with_the_ruler_across(at_the_page, school):
    chacha = load_dance("cha_cha")
    for title in ("one", "two", "three"):
        Piece.objects.create(dance=chacha.dance, title=title, beats_per_minute=124, seconds=165)
    page = at_the_page("routine", chacha.routines["cha-cha 1"].pk, **DESK)
    pages = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages
    first, second = (unicodedata.normalize("NFKC", one.extract_text()) for one in pages)
    assert "Figure by figure" in first
    # The report is whole, on the page where it begins.
    report = first if "Report" in first else second
    assert "You start" in report
    assert "You end" in report
    page.set_viewport_size({"width": 688, "height": 1000})  # A4 less its margins
    page.emulate_media(media="print")
    across = (
        "(ruler) => ruler.getBoundingClientRect().width / ruler.closest('main').getBoundingClientRect().width"
    )
    assert page.locator(".strip-picture.wide").evaluate(across) > 0.9
    assert page.locator(".strip-picture.narrow").is_hidden()
