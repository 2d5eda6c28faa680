"""An empty school is led through four steps, in whatever order, until it has a course."""

import pytest

from tests.factories import CourseFactory, DanceFactory, FigureFactory, LevelFactory, RoomFactory, TermFactory


def done(page):
    return [step.title for step in page.context["steps"] if step.is_done]


def ways(page):
    return [words for step in page.context["steps"] for words, _ in step.ways]


def test_nothing_is_there_and_each_step_has_a_way_on(as_director):
    page = as_director.get("/")
    assert done(page) == []
    assert [len(step.ways) > 0 for step in page.context["steps"]] == [True] * 4
    for step in page.context["steps"]:
        for _, address in step.ways:
            assert as_director.get(address).status_code == 200


@pytest.mark.parametrize(
    ("there", "finished", "offered"),
    [
        (RoomFactory, ["The school and its rooms"], "Add another room"),
        (DanceFactory, ["The dances"], "Make the first level"),
        (LevelFactory, ["The dances"], "Figures by spreadsheet"),
        (FigureFactory, ["The dances", "Levels and figures"], "Figures one by one"),
        (TermFactory, [], "Make the first course"),
    ],
)
def test_what_was_done_stays_done_and_the_next_is_offered(as_director, there, finished, offered):
    there()
    page = as_director.get("/")
    assert done(page) == finished
    assert offered in ways(page)
    assert "Every course has a plan" not in page.content.decode()


def test_with_the_first_course_the_steps_are_gone(as_director):
    CourseFactory()
    assert as_director.get("/").context["steps"] == ()


def test_an_instructor_is_not_led_through_them(client, school, instructor):
    client.force_login(instructor)
    assert "four steps" not in client.get("/").content.decode()
