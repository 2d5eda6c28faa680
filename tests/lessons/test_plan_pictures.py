"""A plan on one page and the loads of a term's courses: drawn by the server, with the same in words."""

import re
from itertools import pairwise

import pytest
from django.urls import reverse

from lessons.board import board_of
from lessons.board.picture import HEAD, NAMES, picture_of
from lessons.models import PlanReview, PlanStatus
from tests.factories import ClosureFactory, CourseFactory
from tests.lessons.planned import planned

pytestmark = pytest.mark.usefixtures("story_day")


def with_reviews(made, name, *indices):
    for index in indices:
        lesson = made.lessons[index]
        PlanReview.objects.create(plan_figure=made.row(name), lesson=lesson, due=lesson)


def drawing(plan):
    return picture_of(board_of(plan))


def track(picture, name):
    return next(track for track in picture.tracks if track.row.name == name)


class TestThePlanOnOnePage:
    def test_every_mark_stands_in_its_lesson_and_the_way_to_the_next_is_told(self, db):
        made = planned(figures={"box": 0, "turn": 5})
        with_reviews(made, "turn", 6, 8)
        turn = track(drawing(made.plan), "turn")
        assert [drawn.number for drawn in turn.marks] == [6, 7, 9]
        assert [distance.lessons for distance in turn.distances] == [1, 2]
        assert turn.words == "new in lesson 6; again in lesson 7 (1 later); again in lesson 9 (2 later)"

    def test_lessons_lie_side_by_side_inside_the_page_and_gaps_are_narrow(self, db):
        made = planned()
        ClosureFactory(first_day="2026-03-24", last_day="2026-03-24")
        picture = drawing(made.plan)
        stops = picture.stops
        assert stops[0].left == NAMES
        assert stops[-1].left + stops[-1].width == pytest.approx(picture.width, abs=0.2)
        assert all(one.left < other.left for one, other in pairwise(stops))
        widths = {stop.column.is_gap: stop.width for stop in stops}
        assert widths[True] < widths[False] / 2

    @pytest.mark.parametrize("figures", [1, 9, 30, 60])
    def test_however_many_figures_it_stays_no_higher_than_wide(self, db, figures):
        made = planned(figures={f"figure {number:02}": 5 for number in range(figures)})
        picture = drawing(made.plan)
        assert HEAD < picture.foot < picture.floor < picture.height <= picture.width

    def test_a_load_is_drawn_to_the_scale_of_the_fullest(self, db):
        made = planned(figures={"box": 0, "turn": 5, "whisk": 5})
        bars = {bar.stop.column.number: bar for bar in drawing(made.plan).bars}
        assert bars[6].new == pytest.approx(2 * bars[1].new, abs=0.1)
        assert bars[7].new == bars[7].again == 0

    def test_a_figure_in_no_lesson_says_so(self, db):
        made = planned(figures={"box": 0, "turn": None})
        assert track(drawing(made.plan), "turn").words == "in no lesson"

    def test_the_page_has_the_picture_and_its_words(self, as_director):
        made = planned()
        page = as_director.get(reverse("lessons:plan-picture", args=[made.plan.pk])).content.decode()
        assert page.count("<svg") >= 1
        assert "<td>new in lesson 7</td>" in page
        assert "style=" not in page
        numbers = re.findall(r' (?:x|y|cx|cy|width|height)="([^"]*)"', page)
        assert all(re.fullmatch(r"-?\d+(\.\d+)?", number) for number in numbers)

    def test_a_plan_without_figures_has_nothing_to_draw(self, as_director):
        made = planned(figures={})
        page = as_director.get(reverse("lessons:plan-picture", args=[made.plan.pk])).content.decode()
        assert "nothing to draw" in page

    @pytest.mark.parametrize(("figures", "lessons"), [(2, 8), (12, 14)])
    def test_it_costs_the_same_queries_at_any_size(
        self, as_director, figures, lessons, django_assert_num_queries
    ):
        made = planned(figures={f"figure {number}": 5 for number in range(figures)}, lessons=lessons)
        with django_assert_num_queries(28):
            as_director.get(reverse("lessons:plan-picture", args=[made.plan.pk]))


class TestTheCoursesOfATerm:
    def page(self, client, term):
        return client.get(reverse("lessons:term-picture", args=[term.pk]))

    def test_they_stand_under_each_other_by_week(self, as_director):
        made = planned(status=PlanStatus.PUBLISHED)
        other = planned(status=PlanStatus.PUBLISHED, term=made.course.term)
        page = self.page(as_director, made.course.term)
        bands = page.context["picture"].bands
        assert {band.line.course.pk for band in bands} == {made.course.pk, other.course.pk}
        assert [bar.x for bar in bands[0].bars] == [bar.x for bar in bands[1].bars]
        assert bands[0].floor < bands[1].top + 1
        assert "12 minutes new, 0 again" in page.content.decode()

    def test_a_course_without_a_plan_is_there_and_says_so(self, as_director):
        course = CourseFactory()
        assert "has no plan yet" in self.page(as_director, course.term).content.decode()

    @pytest.mark.parametrize("courses", [1, 4])
    def test_it_costs_the_same_queries_for_any_number_of_courses(
        self, as_director, courses, django_assert_num_queries
    ):
        made = planned(status=PlanStatus.PUBLISHED)
        for _ in range(courses - 1):
            planned(status=PlanStatus.PUBLISHED, term=made.course.term)
        with django_assert_num_queries(38):
            self.page(as_director, made.course.term)
