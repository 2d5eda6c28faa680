"""Kinds of lesson with shapes of their own; drop-in evenings, newcomers, two instructors."""

import datetime as dt

import pytest
from django.urls import reverse

from lessons.access import get_lesson_for
from lessons.models import Attendance, LessonInstructor, TaughtElsewhere, TeachingPair
from lessons.problems import course_problem
from lessons.run_sheet.fitted import run_sheet
from tests.factories import (
    CourseFactory,
    CoverLinkFactory,
    EnrolmentFactory,
    FigureFactory,
    LessonShapeFactory,
    PersonFactory,
    PlanFactory,
    PlanFigureFactory,
    RecordFactory,
    weekly_lessons,
)

REVISION = [("warm_up", 5, 10, 15), ("review", 20, 40, 60), ("close", 2, 10, 10)]


@pytest.fixture(autouse=True)
def third_week(settings, school):
    settings.TODAY = "2026-01-20"


@pytest.fixture
def box(course, lessons):
    """The box step, taught in the second lesson."""
    figure = FigureFactory(level=course.levels.get(), name="box step")
    RecordFactory(lesson=lessons[1], taught={figure: "introduced"})
    return figure


def page(client, person, lesson):
    client.force_login(person)
    return client.get(reverse("lessons:lesson", args=[lesson.pk])).content.decode()


def kinds_of_segment(lesson, reader):
    return [row.kind for row in run_sheet(get_lesson_for(reader, lesson.pk)).rows]


class TestShapes:
    @pytest.fixture
    def revision(self):
        return LessonShapeFactory(name="revision hour", segments=REVISION, for_kind="revision")

    def test_a_kind_takes_the_schools_shape_for_it(self, director, course, tonight, revision):
        assert "arrive" in kinds_of_segment(tonight, director)
        tonight.kind = "revision"
        tonight.save()
        assert kinds_of_segment(tonight, director) == ["warm_up", "close"]

    def test_a_kind_without_a_shape_keeps_the_courses(self, director, tonight, revision):
        tonight.kind = "workshop"
        tonight.save()
        assert "arrive" in kinds_of_segment(tonight, director)

    def test_the_planner_reckons_with_the_same_room(self, course, tonight, revision):
        plan = PlanFactory(course=course)
        before = course_problem(plan).problem.lessons
        tonight.kind = "revision"
        tonight.save()
        after = course_problem(plan).problem.lessons
        assert after[2].minutes == 60 - 5 - 2
        assert after[2].max_new == 0
        assert [slot.minutes for slot in after[:2]] == [slot.minutes for slot in before[:2]]


class TestChangingTheKind:
    def address(self, lesson):
        return reverse("lessons:lesson-kind", args=[lesson.pk])

    def test_a_director_changes_it_on_the_lessons_page(self, client, director, tonight):
        assert self.address(tonight) in page(client, director, tonight)
        answer = client.post(self.address(tonight), {"kind": "workshop"}, follow=True)
        tonight.refresh_from_db()
        assert tonight.kind == "workshop"
        assert "Kind of lesson: workshop." in answer.content.decode()

    def test_it_says_first_what_follows(self, as_director, course, tonight):
        LessonShapeFactory(name="revision hour", segments=REVISION, for_kind="revision")
        whisk = FigureFactory(level=course.levels.get(), name="whisk")
        PlanFigureFactory(plan=PlanFactory(course=course, status="published"), figure=whisk, new_in=tonight)
        text = as_director.get(self.address(tonight)).content.decode()
        assert "With a shape of their own: revision." in text
        assert "New here: whisk." in text

    @pytest.mark.parametrize("kind", ["", "gala"])
    def test_a_kind_that_is_none_is_refused_at_its_field(self, as_director, tonight, kind):
        answer = as_director.post(self.address(tonight), {"kind": kind})
        assert list(answer.context["form"].errors) == ["kind"]
        tonight.refresh_from_db()
        assert tonight.kind == "ordinary"

    def test_a_cancelled_lesson_keeps_its_kind(self, as_director, tonight):
        tonight.cancelled_at = dt.datetime(2026, 1, 19, 12, tzinfo=dt.UTC)
        tonight.save()
        text = as_director.post(self.address(tonight), {"kind": "test"}).content.decode()
        assert "was cancelled already" in text

    def test_an_instructor_may_not(self, client, instructor, tonight):
        client.force_login(instructor)
        assert client.post(self.address(tonight), {"kind": "test"}).status_code == 403


class TestDropIn:
    @pytest.fixture
    def turn(self, course, tonight):
        """New tonight, with an easier form and an extension; the course is a drop-in."""
        course.kind = "drop_in"
        course.save()
        level = course.levels.get()
        easier, harder = FigureFactory(level=level, name="rock step"), FigureFactory(level=level, name="hook")
        figure = FigureFactory(level=level, name="spot turn", easier_form=easier, extension=harder)
        PlanFigureFactory(plan=PlanFactory(course=course, status="published"), figure=figure, new_in=tonight)
        return figure

    def test_it_presupposes_nothing_of_last_week(self, director, tonight, box, turn):
        assert "recap" not in kinds_of_segment(tonight, director)

    def test_it_offers_an_easier_form_and_an_extension_side_by_side(self, client, instructor, tonight, turn):
        text = page(client, instructor, tonight)
        assert "For some easier, for some more" in text
        assert text.index("rock step") < text.index('<th scope="row">spot turn</th>') < text.index("hook")

    def test_a_fixed_group_is_offered_neither(self, client, instructor, course, tonight, turn):
        course.kind = "group"
        course.save()
        assert "rock step" not in page(client, instructor, tonight)

    def test_nobody_is_new_where_everybody_is(self, client, instructor, course, tonight, box, turn):
        EnrolmentFactory(course=course, joined=tonight.date)
        assert "Ten minutes before" not in page(client, instructor, tonight)


class TestNewcomers:
    def join(self, course, name, day, **more):
        person = PersonFactory(name=name, roles=["student"])
        return EnrolmentFactory(course=course, person=person, joined=day, **more)

    def test_who_joined_and_what_they_missed_is_said_ten_minutes_before(
        self, client, instructor, course, tonight, box
    ):
        self.join(course, "Ada Finch", dt.date(2026, 1, 14))
        self.join(course, "Bea Mull", dt.date(2026, 1, 20))
        text = page(client, instructor, tonight)
        assert "Ten minutes before, 19:20" in text
        assert "Ada and Bea joined after lesson 2 and missed box step." in text
        assert "Finch" not in text

    def test_who_was_there_from_the_start_missed_nothing(self, client, instructor, course, tonight, box):
        self.join(course, "Ada Finch", dt.date(2026, 1, 5))
        self.join(course, "Bea Mull", dt.date(2026, 1, 13))
        assert "joined after" not in page(client, instructor, tonight)

    def test_what_was_learnt_elsewhere_was_not_missed(self, client, instructor, course, tonight, box):
        new = self.join(course, "Ada Finch", dt.date(2026, 1, 14), role="F")
        ticked = TaughtElsewhere.objects.create(person=new.person, figure=box, role="L")
        assert "joined after" in page(client, instructor, tonight)
        ticked.role = "F"
        ticked.save()
        assert "joined after" not in page(client, instructor, tonight)

    @pytest.mark.parametrize("where", ["here", "elsewhere"])
    def test_what_was_danced_again_since_was_not_missed(
        self, client, instructor, course, lessons, box, where
    ):
        new = self.join(course, "Ada Finch", dt.date(2026, 1, 14))
        later = weekly_lessons(course, 1, first=dt.date(2026, 2, 3), room=lessons[0].room)[0]
        other = weekly_lessons(CourseFactory(term=course.term), 1, first=dt.date(2026, 1, 28))[0]
        record = RecordFactory(lesson=lessons[3] if where == "here" else other, taught={box: "reviewed"})
        assert "joined after" in page(client, instructor, later)
        Attendance.objects.create(record=record, person=new.person, role="L")
        assert "joined after" not in page(client, instructor, later)

    def test_after_three_weeks_nobody_is_new(self, client, instructor, course, lessons, box):
        self.join(course, "Ada Finch", dt.date(2026, 1, 14))
        later = weekly_lessons(course, 2, first=dt.date(2026, 2, 3), room=lessons[0].room)
        assert "joined after" in page(client, instructor, later[0])
        assert "joined after" not in page(client, instructor, later[1])

    def test_on_a_cover_page_who_is_under_18_is_not_among_them(self, client, course, tonight, box):
        self.join(course, "Ada Finch", dt.date(2026, 1, 14))
        minor = self.join(course, "Pip Sandling", dt.date(2026, 1, 14))
        minor.person.is_minor = True
        minor.person.save()
        CoverLinkFactory(lesson=tonight, secret="s")
        text = client.get(reverse("lessons:cover", args=["s"])).content.decode()
        assert "Ada joined after lesson 2 and missed box step." in text
        assert "Pip" not in text

    @pytest.mark.parametrize("size", [2, 9])
    def test_they_cost_the_same_however_many(
        self, client, instructor, course, tonight, box, size, django_assert_num_queries
    ):
        for number in range(size):
            self.join(course, f"Ada Finch{number}", dt.date(2026, 1, 14))
        client.force_login(instructor)
        with django_assert_num_queries(29):
            client.get(reverse("lessons:lesson", args=[tonight.pk]))


class TestTwoInstructors:
    @pytest.fixture
    def wren(self, tonight, instructor):
        person = PersonFactory(name="Wren Tansley", roles=["instructor"])
        for each in (instructor, person):
            LessonInstructor.objects.create(lesson=tonight, person=each)
        return person

    def address(self, lesson):
        return reverse("lessons:teaching-pair", args=[lesson.pk])

    def test_who_shows_and_who_leads_is_asked_and_then_said(self, client, instructor, tonight, wren):
        assert "teach together. Settle who shows and who leads." in page(client, instructor, tonight)
        client.post(self.address(tonight), {"shows": wren.pk, "leads": instructor.pk})
        assert "Wren shows. Tobin leads, Wren follows." in page(client, instructor, tonight)

    def test_it_is_settled_anew_and_kept_once(self, client, instructor, tonight, wren):
        client.force_login(instructor)
        for leads in (instructor, wren):
            client.post(self.address(tonight), {"shows": wren.pk, "leads": leads.pk})
        assert TeachingPair.objects.get().leads == wren
        assert client.get(self.address(tonight)).context["form"]["leads"].value() == wren.pk

    def test_who_is_not_in_front_cannot_be_chosen(self, client, instructor, director, tonight, wren):
        client.force_login(instructor)
        answer = client.post(self.address(tonight), {"shows": director.pk, "leads": ""})
        assert set(answer.context["form"].errors) == {"shows", "leads"}
        assert not TeachingPair.objects.exists()

    def test_what_was_settled_for_others_is_asked_again(self, client, instructor, director, tonight, wren):
        TeachingPair.objects.create(lesson=tonight, shows=director, leads=wren)
        assert "Settle who shows" in page(client, instructor, tonight)

    def test_one_alone_is_asked_nothing(self, client, instructor, tonight):
        assert "Settle who shows" not in page(client, instructor, tonight)
        assert "One instructor is in front" in client.get(self.address(tonight)).content.decode()

    def test_who_does_not_give_the_lesson_settles_nothing(self, client, tonight, wren):
        client.force_login(PersonFactory(roles=["instructor"]))
        assert client.post(self.address(tonight), {}).status_code == 403
