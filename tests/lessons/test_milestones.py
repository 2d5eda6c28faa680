"""A showcase, a medal test, the last night's party: a date by which something is taught."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from lessons.actions.errors import Overtaken
from lessons.actions.milestones import remove_milestone, save_milestone
from lessons.models import Milestone
from lessons.problems import course_problem
from tests.factories import FigureFactory, LevelFactory, RoutineFactory
from tests.lessons.planned import planned

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("story_day")]

PARTY = dt.date(2026, 3, 6)


@pytest.fixture
def made():
    return planned()


def stone(made, **changes):
    values = {"course": made.course, "name": "Spring party", "day": PARTY}
    return Milestone(**(values | changes))


class TestSetting:
    def test_what_it_asks_for_is_required_and_has_its_latest_lesson(self, made, director):
        row = made.row("whisk")
        row.required = False
        row.save()
        save_milestone(milestone=stone(made), version=0, figures=[row.figure], by=director)
        figures = {figure.key: figure for figure in course_problem(made.plan).problem.figures}
        # Tuesdays from 6 January: the ninth is on 3 March, the tenth on the 10th.
        assert (figures["whisk"].required, figures["whisk"].latest) == (True, 8)
        assert figures["turn"].latest is None

    def test_it_is_changed_and_taken_out(self, made, director):
        party = stone(made)
        save_milestone(milestone=party, version=0, figures=[made.row("turn").figure], by=director)
        party.name = "Summer party"
        save_milestone(milestone=party, version=1, figures=[made.row("whisk").figure], by=director)
        kept = Milestone.objects.get()
        assert (kept.name, kept.version) == ("Summer party", 2)
        assert [figure.name for figure in kept.figures.all()] == ["whisk"]
        remove_milestone(milestone=kept, version=2, by=director)
        assert not Milestone.objects.exists()

    def test_nobody_writes_over_what_they_have_not_seen(self, made, director):
        party = stone(made)
        save_milestone(milestone=party, version=0, figures=[made.row("turn").figure], by=director)
        mine, theirs = Milestone.objects.get(), Milestone.objects.get()
        theirs.name = "Theirs"
        save_milestone(milestone=theirs, version=1, figures=[made.row("turn").figure], by=director)
        mine.name = "Mine"
        with pytest.raises(Overtaken):
            save_milestone(milestone=mine, version=1, figures=[made.row("whisk").figure], by=director)
        with pytest.raises(Overtaken):
            remove_milestone(milestone=mine, version=1, by=director)
        assert Milestone.objects.get().name == "Theirs"


def test_the_course_s_page_says_by_when_what_is_taught(made, director, as_director):
    figures = [made.row("turn").figure, made.row("whisk").figure]
    save_milestone(milestone=stone(made), version=0, figures=figures, by=director)
    page = as_director.get(reverse("lessons:course", args=[made.course.pk])).content.decode()
    assert "Spring party</a></b>: turn, whisk" in page


class TestRefusals:
    def refused(self, milestone, figures, by):
        with pytest.raises(ValidationError) as refused:
            save_milestone(milestone=milestone, version=0, figures=figures, by=by)
        assert not Milestone.objects.exists()
        return refused.value.message_dict

    @pytest.mark.parametrize(
        ("day", "said"),
        [
            (
                dt.date(2026, 1, 5),
                "The first lesson is on Tuesday 6 January: nothing can be taught before it.",
            ),
            (dt.date(2027, 1, 1), "ends on"),
        ],
    )
    def test_a_day_outside_the_course(self, made, director, day, said):
        found = self.refused(stone(made, day=day), [made.row("turn").figure], director)
        assert said in found["day"][0]

    def test_nothing_asked_for(self, made, director):
        found = self.refused(stone(made), [], director)
        assert found == {
            "figures": ["Choose a routine, or at least one figure: what is to be danced by then?"]
        }

    def test_what_belongs_to_another_dance(self, made, director):
        level = LevelFactory()
        routine = RoutineFactory(level=level, name="Elsewhere")
        found = self.refused(stone(made, routine=routine), [FigureFactory(level=level, name="fan")], director)
        assert found["figures"] == ["fan belongs to another dance."]
        assert "belongs to another dance" in found["routine"][0]
