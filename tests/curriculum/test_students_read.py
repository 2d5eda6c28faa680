"""Students read the levels of their courses and those below; who teaches reads everything."""

import pytest
from django.urls import reverse

from curriculum.access import get_dance_for, get_figure_for, get_routine_for, levels_for
from tests.curriculum.pages import text_of
from tests.factories import (
    CourseFactory,
    EnrolmentFactory,
    FigureFactory,
    LevelFactory,
    RoutineFactory,
)

pytestmark = pytest.mark.django_db


class TestAStudent:
    @pytest.fixture
    def in_beginners(self, client, school, student, level):
        EnrolmentFactory(course=CourseFactory(level=level), person=student)
        client.force_login(student)
        return client

    def test_reads_the_levels_of_their_courses_only(self, in_beginners, waltz, level, improvers):
        FigureFactory(level=level, name="box step")
        FigureFactory(level=improvers, name="whisk")
        text = text_of(in_beginners, "dance", waltz.pk)
        assert "box step" in text
        assert "whisk" not in text
        assert "Improvers" not in text

    def test_reads_the_levels_below_too(self, client, school, student, level, improvers):
        EnrolmentFactory(course=CourseFactory(level=improvers), person=student)
        assert list(levels_for(student)) == [level, improvers]

    def test_a_figure_or_routine_above_is_not_there(self, in_beginners, improvers):
        figure, routine = FigureFactory(level=improvers), RoutineFactory(level=improvers)
        assert in_beginners.get(reverse("curriculum:figure", args=[figure.pk])).status_code == 404
        assert in_beginners.get(reverse("curriculum:routine", args=[routine.pk])).status_code == 404

    def test_another_dance_is_not_there(self, in_beginners):
        other = LevelFactory().dance
        assert in_beginners.get(reverse("curriculum:dance", args=[other.pk])).status_code == 404

    def test_what_a_figure_opens_above_is_not_named(self, in_beginners, level, improvers):
        box = FigureFactory(level=level, name="box step")
        FigureFactory(level=improvers, name="secret spin", needs=[box])
        assert "secret spin" not in text_of(in_beginners, "figure", box.pk)

    def test_somebody_on_the_waiting_list_reads_nothing(self, school, student, level):
        EnrolmentFactory(course=CourseFactory(level=level), person=student, waiting=True)
        assert not levels_for(student).exists()

    def test_an_instructor_reaches_everything(self, school, instructor, waltz, improvers):
        figure, routine = FigureFactory(level=improvers), RoutineFactory(level=improvers)
        assert get_dance_for(instructor, waltz.pk) == waltz
        assert get_figure_for(instructor, figure.pk) == figure
        assert get_routine_for(instructor, routine.pk) == routine
