"""The demo, served as a visitor gets it, in a real browser: each of the three signs in, on a phone too."""

import pytest

PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}


@pytest.mark.parametrize("look", [{}, PHONE], ids=["desk", "phone"])
def test_each_of_the_three_comes_to_a_page_of_their_own(served_to_readers, visit, look):
    headings = set()
    for username in ("director", "instructor", "student"):
        visitor = visit(served_to_readers.address, **look)
        page = visitor.sign_in(username)
        headings.add(page.locator("main").inner_text())
        wider = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert wider <= 0, "the page is wider than the screen"
        page.get_by_role("button", name="Sign out").click()
        page.wait_for_url("**/sign-in/")
    assert len(headings) == 3
