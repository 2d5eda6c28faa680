"""The page of a dance's prerequisite map: what it draws and says, who sees how much, what it costs."""

import pytest
from django.urls import reverse

from tests.factories import CourseFactory, DanceFactory, EnrolmentFactory, FigureFactory, LevelFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def waltz():
    return DanceFactory(name="Waltz", floor_use="travels", beats_per_bar=3)


@pytest.fixture
def levels(waltz):
    return [
        LevelFactory(dance=waltz, rank=rank, name=name) for rank, name in enumerate(("Bronze", "Silver"), 1)
    ]


@pytest.fixture
def whisk(levels):
    return FigureFactory(level=levels[0], name="whisk", needs=[FigureFactory(level=levels[0], name="box")])


def address(dance):
    return reverse("curriculum:map", args=[dance.pk])


def test_it_draws_a_box_for_each_figure_and_an_arrow_for_each_need(as_director, waltz, whisk):
    page = as_director.get(address(waltz)).content.decode()
    assert page.count("data-figure=") == 2
    box = whisk.prerequisites.get().needs_id
    assert f'data-from="{box}" data-to="{whisk.pk}"' in page
    assert 'aria-label="whisk: needs box; opens nothing"' in page
    assert 'aria-label="box: needs nothing; opens whisk"' in page


def test_an_arrow_that_others_imply_is_not_drawn_but_stands_in_the_list(as_director, waltz, levels, whisk):
    box = whisk.prerequisites.get().needs
    FigureFactory(level=levels[1], name="chasse", needs=[whisk, box])
    page = as_director.get(address(waltz)).content.decode()
    assert page.count("data-from=") == 2
    assert "chasse: needs box, whisk; opens nothing" in page


def test_a_figure_leads_to_its_own_page(as_director, waltz, whisk):
    page = as_director.get(address(waltz)).content.decode()
    assert page.count(f'href="{reverse("curriculum:figure", args=[whisk.pk])}"') == 2


def test_it_has_no_style_and_no_script_of_its_own(as_director, waltz, whisk):
    page = as_director.get(address(waltz)).content.decode()
    assert " style=" not in page
    assert "<style" not in page


def test_an_empty_dance_says_so(as_director, waltz):
    assert "no figure yet" in as_director.get(address(waltz)).content.decode()


def test_a_student_sees_the_levels_that_are_open_to_them_and_no_others(
    client, school, student, waltz, levels, whisk
):
    FigureFactory(level=levels[1], name="outside change", needs=[whisk])
    EnrolmentFactory(course=CourseFactory(level=levels[0]), person=student)
    client.force_login(student)
    page = client.get(address(waltz)).content.decode()
    assert "whisk" in page
    assert "outside change" not in page


def test_a_student_of_another_dance_finds_nothing(client, school, student, waltz, whisk):
    client.force_login(student)
    assert client.get(address(waltz)).status_code == 404


def test_it_is_only_read(as_director, waltz):
    assert as_director.post(address(waltz)).status_code == 403


@pytest.mark.parametrize("size", [3, 40])
def test_it_costs_the_same_for_any_number_of_figures(
    as_director, waltz, levels, size, django_assert_num_queries
):
    before = []
    for number in range(size):
        before.append(FigureFactory(level=levels[number % 2], needs=before[-2:] if number % 2 else []))
    with django_assert_num_queries(8):
        assert as_director.get(address(waltz)).status_code == 200
