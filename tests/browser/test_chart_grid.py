"""The chart grid in a real browser: filled by keyboard alone, pasted into, undone, and saved."""

import pytest
from django.urls import reverse

from curriculum.models import Figure
from lessons.demo.dance_rows import load_dance

pytestmark = pytest.mark.django_db(transaction=True)
PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}

PASTED = (
    '1\t12\tL\tstep\tforward\t\tR\tstep\tback\t\t\t"say ""one"""\r\n'
    "2\t12\tR\tstep\tside\t-2\tL\tstep\tside\t-2\t\t\r\n"
    "3\t12\tL\tclose\t\t\tR\tclose\t\t\t\tlower\tbeyond\r\n"
)


@pytest.fixture
def at_the_grid(live_server, visit, client, school, director):
    """at_the_grid(name) stands on the page of a figure's chart, its director signed in. What follows from the
    chart is asked of the server only `alive`: otherwise an answer could still be on its way at the end."""
    load_dance("waltz")
    client.force_login(director)
    session = {"name": "sessionid", "value": client.cookies["sessionid"].value, "url": live_server.url}

    def open_page(name="curriculum:chart-new", *, alive=False, **look):
        figure = Figure.objects.get(name="box step")
        key = figure.pk if name == "curriculum:chart-new" else figure.charts.get().pk
        visitor = visit(live_server.url, **look)
        visitor.context.add_cookies([session])
        if not alive:
            visitor.page.route("**/*", leave_out_questions)
        visitor.page.goto(reverse(name, args=[key]))
        return visitor.page

    return open_page


def leave_out_questions(route):
    if "hx-request" in route.request.headers:
        route.fulfill(status=204)
    else:
        route.continue_()


@pytest.fixture
def grid(at_the_grid):
    return at_the_grid()


def cell(page, name, row):
    return page.get_by_label(f"{name}, row {row}", exact=True)


def focused(page):
    return page.evaluate("document.activeElement.getAttribute('aria-label')")


def paste(page, text):
    page.evaluate(
        """text => {
            const data = new DataTransfer();
            data.setData("text/plain", text);
            document.activeElement.dispatchEvent(
                new ClipboardEvent("paste", { clipboardData: data, bubbles: true, cancelable: true }));
        }""",
        text,
    )


def column(page, key):
    return page.eval_on_selector_all(
        f"table.grid input[name={key}]", "cells => cells.map(cell => cell.value)"
    )


def test_keys_move_between_cells_and_change_rows(grid):
    keys = grid.keyboard
    cell(grid, "count", 1).focus()
    keys.type("1")
    keys.press("Tab")
    assert focused(grid) == "ticks, row 1"
    keys.type("12")
    keys.press("Enter")
    assert focused(grid) == "ticks, row 2"
    keys.press("ArrowUp")
    keys.press("ArrowLeft")
    assert focused(grid) == "count, row 1"
    keys.press("ArrowDown")
    keys.type("2")
    keys.press("Alt+Enter")
    assert focused(grid) == "count, row 3"
    keys.type("3")
    keys.press("Alt+ArrowUp")
    assert focused(grid) == "count, row 2"
    assert column(grid, "count")[:4] == ["1", "3", "2", ""]
    keys.press("Alt+Delete")
    assert column(grid, "count")[:3] == ["1", "2", ""]
    grid.get_by_role("button", name="Undo").click()
    assert column(grid, "count")[:3] == ["1", "3", "2"]


def test_enter_in_the_last_row_makes_another(grid):
    rows = len(column(grid, "count"))
    cell(grid, "count", rows).focus()
    grid.keyboard.press("Enter")
    assert focused(grid) == f"count, row {rows + 1}"


def test_a_cell_s_text_can_be_walked_through_before_leaving_it(grid):
    cell(grid, "leader direction", 1).fill("side")
    grid.keyboard.press("Home")
    grid.keyboard.press("ArrowRight")
    assert focused(grid) == "leader direction, row 1"


def test_rows_from_a_spreadsheet_fill_the_grid_and_are_saved(at_the_grid):
    grid = at_the_grid(alive=True)
    cell(grid, "count", 1).focus()
    paste(grid, PASTED)
    assert column(grid, "count")[:4] == ["1", "2", "3", ""]
    assert column(grid, "follower_turn")[:3] == ["", "-2", ""]
    assert column(grid, "cue")[:3] == ['say "one"', "", "lower"]
    assert "1 cell beyond the last column left out" in grid.get_by_role("status").last.inner_text()
    grid.get_by_text("leader ¼ to the left, follower ¼ to the left").wait_for()
    grid.get_by_label("Name of the chart").fill("pasted")
    grid.get_by_role("button", name="Save", exact=True).last.click()
    grid.get_by_text("the figure has 6 beats").first.wait_for()
    assert column(grid, "cue")[0] == 'say "one"'
    grid.get_by_role("button", name="Save it as it is").click()
    grid.get_by_text("Saved as it is. It is not sound yet.").wait_for()


def test_more_is_pasted_than_finds_room_and_that_is_said(grid):
    cell(grid, "count", 1).focus()
    paste(grid, "1\t12\n" * 80)
    said = grid.locator("[data-grid-says]").inner_text()
    assert said == "72 rows pasted. 8 found no room: a chart has at most 72 rows."
    assert len(column(grid, "count")) == 72


def test_what_is_typed_is_not_left_behind_without_asking(grid):
    cell(grid, "count", 1).press_sequentially("1")
    grid.once("dialog", lambda dialog: dialog.dismiss())
    with grid.expect_event("dialog") as asked:
        grid.get_by_role("link", name="Leave it as it was").click(no_wait_after=True)
    assert asked.value.type == "beforeunload"
    assert cell(grid, "count", 1).input_value() == "1"


def test_on_a_phone_the_grid_is_no_wider_than_the_screen(at_the_grid):
    page = at_the_grid("curriculum:chart-edit", **PHONE)
    wider = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    assert page.evaluate(wider) <= 0
    page.get_by_label("row 2, change the row").click()
    page.get_by_role("button", name="Take out").locator("visible=true").click()
    assert column(page, "count")[:3] == ["1", "3", "4"]
