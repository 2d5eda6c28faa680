"""Somebody takes a lesson over from a link, on paper and on a phone; partners are worked out in the hall."""

import re

from playwright.sync_api import expect

PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}


def pages_of(pdf):
    return len(re.findall(rb"/Type\s*/Page\b", pdf))


def wider_than_the_screen(page):
    return page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")


def test_a_stranger_reads_the_whole_lesson_from_a_link_on_one_sheet(served_to_all, visit):
    director = visit(served_to_all.address).sign_in("director")
    director.locator(".evenings a").first.click()
    heading = director.get_by_role("heading", level=1).inner_text()
    director.get_by_text("Take this lesson for me").click()
    director.get_by_role("button", name="Make a link").click()
    address = director.get_by_label("The address").input_value()

    stranger = visit(served_to_all.address, **PHONE).page
    stranger.goto(address)
    expect(stranger.get_by_role("heading", level=1)).to_have_text(heading)
    expect(stranger.get_by_role("heading", name="First aid and ways out")).to_be_visible()
    assert stranger.locator(".cover-sheet > li").count() >= 5
    assert stranger.locator(".cover-chart").count() >= 1
    assert wider_than_the_screen(stranger) <= 0
    assert stranger.locator("a, form, script").count() == 0

    paper = visit(served_to_all.address).page
    paper.goto(address)
    assert pages_of(paper.pdf(prefer_css_page_size=True)) == 1


def test_unticking_somebody_changes_the_rounds_at_once_and_by_keyboard(served_to_all, visit):
    instructor = visit(served_to_all.address, **PHONE).sign_in("instructor")
    instructor.get_by_role("link", name="Run-sheet").first.click()
    instructor.get_by_role("link", name="Who dances with whom").click()
    rows = instructor.locator(".rounds tbody tr")
    expect(instructor.locator(".call")).to_contain_text("Followers move on one")
    before = rows.count()
    assert wider_than_the_screen(instructor) <= 0
    first = instructor.locator(".who-is-here .tick input").first
    name = instructor.locator(".who-is-here .tick").first.inner_text().strip()
    offer = instructor.locator("#offer")
    offered = offer.inner_text()
    first.focus()
    instructor.keyboard.press("Space")
    expect(instructor.get_by_role("row", name=re.compile(rf"^{name}"))).to_have_count(0)
    assert before >= 2
    expect(offer).not_to_have_text(offered, use_inner_text=True)
    instructor.reload()
    expect(first).not_to_be_checked()
    expect(instructor.get_by_role("row", name=re.compile(rf"^{name}"))).to_have_count(0)
