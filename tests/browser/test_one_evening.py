"""One evening in a browser: run-sheets on paper and phone, a record by keyboard and by two people."""

import re

from playwright.sync_api import expect

PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}


def pages_of(pdf):
    return len(re.findall(rb"/Type\s*/Page\b", pdf))


def wider_than_the_screen(page):
    return page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")


def says_it_has_taken_place(page):
    """Asked before the lesson's hour; the tests run at any."""
    asked = page.locator("input[name=early]")
    if asked.count():
        asked.check()


def test_every_run_sheet_of_these_days_is_one_page_of_paper(served_to_all, visit):
    page = visit(served_to_all.address).sign_in("director")
    links = page.locator(".evenings a").evaluate_all("links => links.map(link => link.getAttribute('href'))")
    assert len(links) >= 4
    for link in links:
        page.goto(link)
        expect(page.locator(".runsheet .segment").first).to_be_visible()
        assert pages_of(page.pdf(prefer_css_page_size=True)) == 1, link


def test_the_evening_is_recorded_on_a_phone_and_a_second_writer_loses_nothing(served_to_all, visit):
    instructor = visit(served_to_all.address, **PHONE).sign_in("instructor")
    instructor.get_by_role("link", name="Run-sheet").first.click()
    expect(instructor.locator(".runsheet")).to_be_visible()
    assert wider_than_the_screen(instructor) <= 0
    lesson = instructor.url

    director = visit(served_to_all.address).sign_in("director")
    director.goto(lesson + "record/")
    director.get_by_label("A note to the next instructor").fill("seen from the door")

    instructor.get_by_role("link", name="What we did").click()
    expect(instructor.get_by_role("heading", name="What we did")).to_be_visible()
    assert wider_than_the_screen(instructor) <= 0
    new = instructor.locator(".outcome-row", has=instructor.locator(".tag.new")).first
    minutes = new.get_by_label("Minutes still needed")
    expect(minutes).to_be_hidden()
    new.get_by_role("radio", name="introduced").focus()
    instructor.keyboard.press("ArrowRight")
    expect(minutes).to_be_visible()
    minutes.fill("6")
    instructor.get_by_label("Guests without a name").fill("2")
    says_it_has_taken_place(instructor)
    instructor.get_by_role("button", name="Record it", exact=True).click()
    expect(instructor.get_by_text("to finish later, 6 minutes still needed")).to_be_visible()
    expect(instructor.get_by_text("2 guests without a name")).to_be_visible()

    says_it_has_taken_place(director)
    director.get_by_role("button", name="Record it", exact=True).click()
    expect(director.get_by_text("recorded this lesson while you had this page open")).to_be_visible()
    expect(director.get_by_label("A note to the next instructor")).to_have_value("seen from the door")
    expect(director.get_by_text("They recorded: to finish later, 6 minutes still needed")).to_be_visible()
    director.get_by_role("button", name="Record mine in place of theirs", exact=True).click()
    expect(director.get_by_text("seen from the door")).to_be_visible()


def test_a_student_reads_the_level_on_a_phone(served_to_all, visit):
    student = visit(served_to_all.address, **PHONE).sign_in("student")
    student.get_by_role("link", name="My level").last.click()
    expect(student.get_by_role("heading", name="What we know")).to_be_visible()
    assert wider_than_the_screen(student) <= 0
    student.get_by_text("On the ruler of bars").click()
    expect(student.locator(".strip-picture.narrow")).to_be_visible()
    assert wider_than_the_screen(student) <= 0
