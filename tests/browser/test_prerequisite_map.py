"""The prerequisite map in a browser: what a figure needs and opens is lit; a phone gets the list instead."""

import pytest
from playwright.sync_api import expect

from curriculum.models import Dance
from lessons.demo.dance_rows import load_dance

pytestmark = pytest.mark.django_db(transaction=True)

PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}


@pytest.fixture
def cha_cha_map(live_server, visit, client, school, instructor):
    load_dance("cha_cha")
    client.force_login(instructor)
    session = {"name": "sessionid", "value": client.cookies["sessionid"].value, "url": live_server.url}

    def open_map(**look):
        visitor = visit(live_server.url, **look)
        visitor.context.add_cookies([session])
        visitor.page.goto(f"/dances/{Dance.objects.get(name='cha-cha').pk}/map/")
        return visitor.page

    return open_map


def box(page, figure):
    return page.locator(f'.box[aria-label^="{figure}:"]')


def names(page, kind):
    """Names of the boxes lit in that way; a box says "fan: needs ...; opens ..."."""
    boxes = page.locator(f".box.{kind}").all()
    return {box.get_attribute("aria-label").partition(":")[0] for box in boxes}


def test_on_focus_all_a_figure_needs_and_opens_is_lit_near_and_far(cha_cha_map):
    page = cha_cha_map()
    box(page, "fan").focus()
    expect(page.locator(".prerequisite-map.lighting")).to_have_count(1)
    assert names(page, "needed") == {"time step", "hearing the two", "basic movement", "open basic"}
    assert {"alemana", "hockey stick", "Turkish towel"} <= names(page, "opened")
    assert "New York" not in names(page, "lit")


def test_the_pointer_lights_too_and_leaves_what_has_the_focus_lit(cha_cha_map):
    page = cha_cha_map()
    box(page, "time step").focus()
    box(page, "aida").hover()
    assert "basic movement" in names(page, "needed")
    page.mouse.move(0, 0)
    assert names(page, "needed") == set()
    box(page, "time step").blur()
    expect(page.locator(".lit")).to_have_count(0)


def test_a_phone_has_the_list_and_not_the_picture(cha_cha_map):
    page = cha_cha_map(**PHONE)
    expect(page.locator(".prerequisite-map")).to_be_hidden()
    expect(page.locator(".map-list").get_by_role("link", name="alemana", exact=True)).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
