"""A term's days: of our times, at most a year; changed, and deleted while no course hangs on it."""

import datetime as dt

import pytest
from django.urls import reverse

from lessons.actions.laying_out import lay_out_lessons
from lessons.actions.terms import said_of_overlaps
from lessons.models import Milestone
from school.models import Term
from school.templatetags.words import span
from tests.factories import CourseFactory, MeetingFactory, PersonFactory, PlanFactory, TermFactory
from tests.two_writers import change, opened


@pytest.fixture(autouse=True)
def third_week(settings, school):
    settings.TODAY = "2026-01-20"


@pytest.fixture
def term():
    return TermFactory(name="Winter", first_day=dt.date(2026, 1, 5), last_day=dt.date(2026, 3, 29))


@pytest.fixture
def course(term):
    """Meets on Tuesdays, laid out to the end of the term."""
    course = CourseFactory(term=term, name="Waltz on Tuesdays")
    MeetingFactory(course=course, weekday=1)
    lay_out_lessons(course=course)
    return course


def begin(client, first, last):
    sent = {"name": "Next", "first_day": first, "last_day": last}
    return client.post(reverse("lessons:term-new"), sent)


def edit(term):
    return reverse("lessons:term-edit", args=[term.pk])


class TestDays:
    @pytest.mark.parametrize("day", ["9999-12-31", "0001-01-01", "2101-01-01", "1999-12-31"])
    @pytest.mark.parametrize("field", ["first_day", "last_day"])
    def test_of_other_centuries_are_a_slip_of_the_keyboard(self, as_director, field, day):
        sent = {"name": "Next", "first_day": "2026-04-13", "last_day": "2026-07-05", field: day}
        answer = as_director.post(reverse("lessons:term-new"), sent)
        assert answer.context["form"].errors[field] == ["Write a day of the years 2000 to 2100."]
        assert not Term.objects.exists()

    def test_are_those_of_a_year_at_most(self, as_director):
        assert begin(as_director, "2026-01-05", "2027-01-10").status_code == 302
        refused = begin(as_director, "2026-01-05", "2027-01-11").context["form"].errors
        assert refused["last_day"] == ["A term lasts at most 53 weeks: until Sunday 10 January 2027."]

    def test_the_last_day_of_all_can_be_looked_at(self, as_director):
        term = TermFactory(first_day=dt.date(2100, 10, 1), last_day=dt.date(2100, 12, 31))
        assert as_director.get(reverse("lessons:term", args=[term.pk])).status_code == 200

    @pytest.mark.parametrize(
        ("first", "last", "said"),
        [
            ((2026, 1, 10), (2026, 3, 26), "10 January to 26 March 2026"),
            ((2025, 12, 14), (2026, 3, 26), "14 December 2025 to 26 March 2026"),
        ],
    )
    def test_over_the_turn_of_a_year_both_years_are_said(self, first, last, said):
        assert span(Term(first_day=dt.date(*first), last_day=dt.date(*last))) == said


@pytest.mark.parametrize(
    ("name", "field", "sent"),
    [
        ("lessons:closure-new", "first_day", {"last_day": "2026-01-01", "reason": "flood"}),
        ("lessons:private-new", "date", {}),
    ],
)
def test_no_form_takes_a_day_beyond_the_calendar(as_director, name, field, sent):
    answer = as_director.post(reverse(name), sent | {field: "9999-12-31"})
    assert answer.context["form"].errors[field] == ["Write a day of the years 2000 to 2100."]


class TestChanged:
    def test_its_name(self, as_director, term, course):
        assert change(as_director, edit(term), name="Winter 2026").status_code == 302
        assert Term.objects.get().name == "Winter 2026"
        assert course.lessons.count() == 12

    def test_longer_it_brings_its_courses_the_lessons_to_come_that_were_read_of_first(
        self, as_director, term, course
    ):
        asked = change(as_director, edit(term), last_day="2026-04-12")
        assert "Waltz on Tuesdays gets 2 more lessons: Tuesday 31 March and Tuesday 7 April." in (
            asked.content.decode()
        )
        assert Term.objects.get().last_day == dt.date(2026, 3, 29)
        seen = asked.context["form"]["seen"].value()
        assert change(as_director, edit(term), last_day="2026-04-12", seen=seen).status_code == 302
        assert Term.objects.get().last_day == dt.date(2026, 4, 12)
        days = list(course.lessons.in_order().values_list("date", flat=True))
        assert (len(days), days[-1]) == (14, dt.date(2026, 4, 7))

    def test_what_lies_behind_is_laid_out_no_more(self, as_director, term, course):
        assert change(as_director, edit(term), first_day="2025-12-01").status_code == 302
        assert course.lessons.count() == 12

    def test_shorter_it_lets_no_lesson_fall_out(self, as_director, term, course):
        refused = change(as_director, edit(term), last_day="2026-03-22").context["form"].errors
        assert refused["last_day"] == [
            "Waltz on Tuesdays meets on Tuesday 24 March. Move or cancel what lies outside first."
        ]
        refused = change(as_director, edit(term), first_day="2026-01-12").context["form"].errors
        assert refused["first_day"] == [
            "Waltz on Tuesdays meets on Tuesday 6 January. Move or cancel what lies outside first."
        ]
        assert Term.objects.get().first_day == dt.date(2026, 1, 5)

    def test_what_would_fall_out_is_counted_and_the_first_few_lead_to_their_pages(
        self, as_director, term, course, django_assert_num_queries
    ):
        stone = Milestone.objects.create(course=course, name="showcase", day=dt.date(2026, 3, 28))
        sent = opened(as_director, edit(term))
        for last_day, lessons, said in (
            ("2026-03-22", 1, "showcase is on Saturday 28 March, and 1 more lies outside."),
            ("2026-02-15", 6, "showcase is on Saturday 28 March, and 6 more lie outside."),
        ):
            with django_assert_num_queries(11):
                answer = as_director.post(edit(term), sent | {"last_day": last_day})
            assert answer.context["form"].errors["last_day"][0].startswith(said)
            text = answer.content.decode()
            ways = [reverse("lessons:lesson", args=[one.pk]) for one in course.lessons.order_by("-date")]
            assert [f'<a href="{way}">' in text for way in ways[:6]] == [
                n < min(lessons, 4) for n in range(6)
            ]
            assert f'<a href="{reverse("lessons:milestone", args=[stone.pk])}">showcase is on' in text
        assert "and 2 more</li>" in text

    def test_nor_a_milestone(self, as_director, term):
        Milestone.objects.create(course=CourseFactory(term=term), name="showcase", day=dt.date(2026, 3, 28))
        refused = change(as_director, edit(term), last_day="2026-03-22").context["form"].errors
        assert refused["last_day"][0].startswith("showcase is on Saturday 28 March.")

    def test_a_published_plan_is_planned_again_where_the_term_grew(self, as_director, term, course):
        PlanFactory(course=course, status="published")
        seen = change(as_director, edit(term), last_day="2026-04-12").context["form"]["seen"].value()
        assert change(as_director, edit(term), last_day="2026-04-12", seen=seen).status_code == 302

    def test_by_two_at_once_it_keeps_what_both_wrote(self, as_director, term):
        mine = opened(as_director, edit(term))
        change(as_director, edit(term), name="Winter 2026")
        answer = as_director.post(edit(term), mine | {"last_day": "2026-04-12"})
        assert answer.status_code == 409
        assert answer.context["form"]["name"].value() == "Winter 2026"
        assert Term.objects.get().last_day == dt.date(2026, 3, 29)


class TestOverlapping:
    """A school may want it, and else it is a slip: it is said first, and saved once that was seen."""

    def test_begun_in_the_days_of_another_it_says_of_which_and_from_when_to_when(self, as_director, term):
        asked = begin(as_director, "2026-03-23", "2026-06-28")
        assert asked.context["follows"] == [
            "It overlaps Winter, from Monday 23 March to Sunday 29 March. Go on if that is meant, as with a "
            "course in the holidays."
        ]
        assert "Begin it all the same" in asked.content.decode()
        assert Term.objects.get() == term
        seen = asked.context["form"]["seen"].value()
        sent = {"name": "Next", "first_day": "2026-03-23", "last_day": "2026-06-28", "seen": seen}
        assert as_director.post(reverse("lessons:term-new"), sent).status_code == 302
        assert Term.objects.count() == 2

    def test_what_was_seen_of_other_days_is_not_enough(self, as_director, term):
        seen = begin(as_director, "2026-03-23", "2026-06-28").context["form"]["seen"].value()
        sent = {"name": "Next", "first_day": "2026-03-29", "last_day": "2026-06-28", "seen": seen}
        again = as_director.post(reverse("lessons:term-new"), sent)
        assert "It overlaps Winter, on Sunday 29 March." in again.content.decode()
        assert Term.objects.get() == term

    @pytest.mark.parametrize(
        ("first", "last"),
        [("2026-03-30", "2026-06-28"), ("2025-10-01", "2026-01-04")],
        ids=["after", "before"],
    )
    def test_begun_the_day_after_or_ended_the_day_before_it_is_there_at_once(
        self, as_director, term, first, last
    ):
        assert begin(as_director, first, last).status_code == 302

    def test_two_terms_are_both_named_the_earlier_first(self, as_director, term):
        TermFactory(name="Spring", first_day=dt.date(2026, 3, 30), last_day=dt.date(2026, 6, 28))
        said = begin(as_director, "2026-03-28", "2026-04-05").context["follows"]
        assert [sentence.split(".")[0] for sentence in said] == [
            "It overlaps Winter, from Saturday 28 March to Sunday 29 March",
            "It overlaps Spring, from Monday 30 March to Sunday 5 April",
        ]

    def test_made_longer_it_says_so_before_what_its_courses_gain(self, as_director, term, course):
        TermFactory(name="Spring", first_day=dt.date(2026, 3, 30), last_day=dt.date(2026, 6, 28))
        asked = change(as_director, edit(term), last_day="2026-04-12")
        overlap, gained = asked.context["follows"]
        assert overlap.startswith("It overlaps Spring, from Monday 30 March to Sunday 12 April.")
        assert gained.startswith("Waltz on Tuesdays gets 2 more lessons")
        assert Term.objects.get(pk=term.pk).last_day == dt.date(2026, 3, 29)
        seen = asked.context["form"]["seen"].value()
        assert change(as_director, edit(term), last_day="2026-04-12", seen=seen).status_code == 302
        assert Term.objects.get(pk=term.pk).last_day == dt.date(2026, 4, 12)

    def test_what_it_shared_before_is_not_said_again(self, as_director, term):
        TermFactory(name="Holidays", first_day=dt.date(2026, 2, 16), last_day=dt.date(2026, 2, 22))
        assert change(as_director, edit(term), name="Winter 2026").status_code == 302
        assert change(as_director, edit(term), last_day="2026-04-05").status_code == 302

    @pytest.mark.parametrize("others", [1, 5])
    def test_to_find_them_costs_one_query(self, term, others, django_assert_num_queries):
        for number in range(others):
            TermFactory(name=f"T{number}", first_day=term.first_day, last_day=term.last_day)
        with django_assert_num_queries(1):
            assert len(said_of_overlaps(term)) == others


class TestDeleted:
    def delete(self, client, term):
        return client.post(reverse("lessons:term-remove", args=[term.pk]), follow=True).content.decode()

    def test_while_nothing_hangs_on_it(self, as_director, term):
        assert "Winter is deleted." in self.delete(as_director, term)
        assert not Term.objects.exists()

    def test_with_a_course_it_stays(self, as_director, term):
        CourseFactory(term=term)
        assert "Winter cannot be deleted: courses would be lost with it." in self.delete(as_director, term)
        assert Term.objects.exists()


@pytest.mark.parametrize("courses", [1, 4])
def test_a_longer_term_costs_the_same_queries_at_any_size(
    as_director, term, courses, django_assert_num_queries
):
    for number in range(courses):
        course = CourseFactory(term=term, key=f"K{number}", taught_by=[PersonFactory(roles=["instructor"])])
        MeetingFactory(course=course, weekday=number % 5)
    sent = opened(as_director, edit(term)) | {"last_day": "2026-04-12"}
    with django_assert_num_queries(17):
        as_director.post(edit(term), sent)
