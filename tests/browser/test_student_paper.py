"""On one A4 each: what somebody still needs before the next level, and a course's poster for the wall."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.test_on_paper import coloured, is_one_a4, printed, words


@pytest.fixture
def visitor(served_to_readers, visit):
    return visit(served_to_readers.address)


def test_what_is_open_before_the_next_level_is_printed_on_one_sheet(visitor):
    page = visitor.sign_in("student")
    page.get_by_role("link", name="Cha-cha Beginners").first.click()
    page.get_by_role("link", name="Ready for the next level?").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Ready for Improvers?")
    lines = page.locator(".signs .sign-what").all_inner_texts()
    pdf = printed(page)
    said = words(pdf)
    assert is_one_a4(pdf)
    assert len(lines) == 7
    for line in lines:
        assert line in said
    assert "Thea Winnow" in said
    assert "25 February 2026 by Leocadia Marsh" in said
    assert "Sign out" not in said
    assert coloured(page) == set()


def test_a_level_is_printed_on_one_sheet_without_what_only_a_screen_can_do(visitor):
    page = visitor.sign_in("student")
    page.get_by_role("link", name="Cha-cha Beginners").first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Cha-cha Beginners")
    pdf = printed(page)
    said = words(pdf)
    assert is_one_a4(pdf)
    for line in ("What we know", "time step", "The routine"):
        assert line in said
    for control in ("Charts show", "Ten minutes at home", "My calendar", "On the ruler of bars"):
        assert control not in said
    assert coloured(page) == set()


def test_the_poster_for_the_wall_is_one_sheet_and_opens_without_signing_in(
    visitor, browser, served_to_readers
):
    page = visitor.sign_in("director")
    page.goto("/term/")
    page.get_by_role("link", name=re.compile("Cha-cha Beginners|CB")).first.click()
    page.get_by_role("link", name="a page for the wall").click()
    page.get_by_role("button", name="Make an address with its poster").click()
    address = page.locator(".poster .address").inner_text()
    pdf = printed(page)
    said = words(pdf)
    assert is_one_a4(pdf)
    assert "Cha-cha Beginners" in said
    assert address in said.replace(" ", "")
    assert "Withdraw" not in said
    expect(page.locator(".poster svg.qr")).to_be_visible()
    stranger = browser.new_context().new_page()
    stranger.goto(address)
    expect(stranger.get_by_role("heading", name="What we have danced")).to_be_visible()
    expect(stranger.get_by_text("time step")).to_be_visible()
    for name in ("Thea", "Leocadia", "Sign out"):
        assert name not in stranger.content()
    stranger.context.close()
