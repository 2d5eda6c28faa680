"""axe finds nothing wrong with what students read and what staff do for them: on a phone, light and dark."""

import pytest
from axe_playwright_python.sync_playwright import Axe

PHONE = {"viewport": {"width": 360, "height": 740}}
# Sign-in -> where it begins, and the links that are followed from there, one after the other.
WALKS = {
    "student": [
        ("/", []),
        ("/my-level/", []),
        ("/my-level/", ["Waltz Beginners 1"]),
        ("/my-level/", ["Waltz Beginners 1", "What I missed"]),
        ("/my-level/", ["Cha-cha Beginners", "Ten minutes at home"]),
        ("/my-level/", ["Cha-cha Beginners", "Ready for the next level?"]),
        ("/my-level/", ["Cha-cha Beginners", "New York"]),
        ("/my-level/", ["Cha-cha Beginners", "New York", "Change my note"]),
        ("/my-calendar/", []),
    ],
    "director": [
        ("/ready/", []),
        ("/ready/", ["Cha-cha Beginners"]),
        ("/ready/", ["Cha-cha Beginners", "The list for Beginners"]),
        ("/ready/", ["Cha-cha Beginners", "Thea Winnow"]),
        ("/term/", ["Cha-cha Beginners", "a page for the wall"]),
    ],
}


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_page_for_students_breaks_a_rule(served, visit, scheme):
    broken = []
    for username, walks in WALKS.items():
        page = visit(served.address, color_scheme=scheme, **PHONE).sign_in(username)
        for begins, links in walks:
            page.goto(begins)
            for link in links:
                page.get_by_role("main").get_by_role("link", name=link).first.click()
                page.wait_for_load_state()
            found = Axe().run(page).response["violations"]
            broken += [(scheme, page.url, rule["id"], rule["nodes"][0]["html"]) for rule in found]
            if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
                broken.append((scheme, page.url, "wider than the phone", ""))
    assert broken == []


def test_it_would_find_a_picture_without_words_and_grey_on_grey(served, visit):
    """The check itself: what is broken on purpose is found."""
    page = visit(served.address).sign_in("student")
    page.evaluate(
        """() => {
          const line = document.createElement("p");
          line.textContent = "hardly to be read";
          line.style.color = "#ccc";
          line.style.background = "#fff";
          document.querySelector("main").append(line, document.createElement("input"));
        }"""
    )
    rules = {rule["id"] for rule in Axe().run(page).response["violations"]}
    assert {"color-contrast", "label"} <= rules
