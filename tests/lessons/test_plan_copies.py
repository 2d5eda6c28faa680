"""Drafts made from other plans: a copy, an earlier one put back, another term's followed lesson by lesson."""

import datetime as dt

import pytest
from django.urls import reverse

from lessons.actions.plans import publish_plan, start_draft
from lessons.actions.steps import read_draft
from lessons.models import PlanReview, PlanSet, PlanStatus, TermPlan
from tests.factories import CourseFactory, TermFactory, weekly_lessons
from tests.lessons.planned import planned

pytestmark = pytest.mark.usefixtures("story_day")


def following(response):
    return TermPlan.objects.get(pk=int(response.url.rstrip("/").split("/")[-1]))


class TestDuplicate:
    def test_a_draft_is_copied_whole_and_stays_as_it_is(self, as_director):
        made = planned()
        made.plan.figures.filter(figure__name="whisk").update(pinned=made.lessons[6], importance=9)
        copy = following(as_director.post(reverse("lessons:plan-duplicate", args=[made.plan.pk])))
        assert (copy.name, copy.status) == ("Copy of Draft", PlanStatus.DRAFT)
        assert read_draft(copy) == read_draft(made.plan)

    def test_a_plan_that_was_replaced_is_put_back_beside_the_one_in_force(self, as_director, director):
        made = planned(status=PlanStatus.PUBLISHED)
        before = read_draft(made.plan)
        later = start_draft(course=made.course, by=director)
        later.figures.filter(figure__name="whisk").delete()
        publish_plan(plan=later, version=later.version, by=director, even_so=True)
        answer = as_director.post(reverse("lessons:plan-duplicate", args=[made.plan.pk]))
        draft = following(answer)
        assert answer.url == reverse("lessons:plan-compare-with", args=[later.pk, draft.pk])
        assert read_draft(draft) == before
        page = as_director.get(answer.url).content.decode()
        assert reverse("lessons:plan-publish", args=[draft.pk]) in page

    def test_what_was_published_by_whom_and_when_is_kept(self, as_director, director):
        made = planned(status=PlanStatus.PUBLISHED)
        draft = start_draft(course=made.course, by=director)
        publish_plan(plan=draft, version=draft.version, by=director, even_so=True)
        page = as_director.get(reverse("lessons:plan-history", args=[made.course.pk]))
        assert [one.plan.pk for one in page.context["told"]] == [draft.pk, made.plan.pk]
        assert [one.is_now for one in page.context["told"]] == [True, False]
        assert director.name in page.content.decode()
        assert page.content.decode().count("Put it back") == 1

    def test_a_course_that_published_nothing_says_so(self, as_director):
        made = planned()
        page = as_director.get(reverse("lessons:plan-history", args=[made.course.pk]))
        assert "Nothing was published for this course yet" in page.content.decode()


class TestCopyFromAnotherTerm:
    @pytest.fixture
    def earlier(self, db):
        """A course that ended before this year, with lesson n of it planned as lesson n."""
        made = planned(figures={"box": 0, "turn": 1, "whisk": 3, "sway": 10}, status=PlanStatus.PUBLISHED)
        for name in ("turn", "whisk"):
            row = made.row(name)
            row.latest, row.parts = made.lessons[4], 1
            row.save()
        PlanReview.objects.create(plan_figure=made.row("turn"), lesson=made.lessons[3], due=made.lessons[2])
        PlanSet.objects.create(plan=made.plan, kind="apart").figures.set(
            [made.row("turn"), made.row("whisk")]
        )
        return made

    @pytest.fixture
    def course(self, earlier):
        term = TermFactory(first_day=dt.date(2026, 5, 4), last_day=dt.date(2026, 7, 26))
        made = CourseFactory(level=earlier.course.levels.get(), term=term)
        weekly_lessons(made, 8, first=dt.date(2026, 5, 5))
        return made

    def copied(self, client, course, source):
        return following(
            client.post(reverse("lessons:plan-copy-from", args=[course.pk]), {"plan": source.pk})
        )

    def test_it_follows_lesson_by_lesson(self, as_director, earlier, course):
        draft = self.copied(as_director, course, earlier.plan)
        lessons = list(course.lessons.in_order())
        stands = {
            row.figure.name: [lessons.index(part.lesson) for part in row.introductions.all()]
            for row in draft.figures.all()
        }
        assert stands == {"box": [0], "turn": [1], "whisk": [3], "sway": []}
        row = draft.figures.get(figure__name="turn")
        assert row.latest == lessons[4]
        assert [lessons.index(review.lesson) for review in row.reviews.all()] == [3]
        assert draft.sets.get().figures.count() == 2
        assert draft.name.startswith(f"From {earlier.course.key}")

    def test_what_is_known_already_is_left_out(self, as_director, earlier, course):
        course.continues = earlier.course
        course.save()
        draft = self.copied(as_director, course, earlier.plan)
        assert "box" not in {row.figure.name for row in draft.figures.all()}

    def test_only_published_plans_of_the_same_dance_are_offered(self, as_director, earlier, course):
        other_dance, unpublished = (
            planned(status=PlanStatus.PUBLISHED),
            planned(figures={}, level=course.levels.get()),
        )
        address = reverse("lessons:plan-copy-from", args=[course.pk])
        for plan in (other_dance.plan, unpublished.plan):
            page = as_director.post(address, {"plan": plan.pk})
            assert "not among the choices" in page.content.decode()
        assert not course.plans.exists()

    def test_where_there_is_none_the_page_says_so(self, as_director):
        made = planned()
        page = as_director.get(reverse("lessons:plan-copy-from", args=[made.course.pk]))
        assert "No other course of this dance has a published plan yet" in page.content.decode()


class TestSideBySide:
    def compared(self, client, left, right):
        page = client.get(reverse("lessons:plan-compare-with", args=[left.pk, right.pk]))
        return page.context["compared"], page.content.decode()

    def test_who_moves_where(self, as_director, director):
        made = planned()
        draft = start_draft(course=made.course, by=director, source=made.plan)
        row = draft.figures.get(figure__name="whisk")
        row.introductions.update(lesson=made.lessons[8])
        shown, page = self.compared(as_director, made.plan, draft)
        assert [(line.name, line.left.number, line.right.number) for line in shown.differing] == [
            ("whisk", 7, 9)
        ]
        assert [line.name for line in shown.same] == ["box", "turn"]
        assert page.count("<details") == 2

    def test_what_is_asked_otherwise_is_told_and_a_fault_on_either_side(self, as_director, director):
        made = planned()
        draft = start_draft(course=made.course, by=director, source=made.plan)
        draft.figures.filter(figure__name="whisk").update(latest=made.lessons[5])
        shown, _ = self.compared(as_director, made.plan, draft)
        assert shown.differing[0].asked == ("whisk is begun by lesson 6.",)
        assert shown.left_faults == ()
        assert "must begin by lesson 6" in shown.right_faults[0].sentence

    def test_a_figure_only_one_of_them_teaches(self, as_director, director):
        made = planned()
        draft = start_draft(course=made.course, by=director, source=made.plan)
        draft.figures.filter(figure__name="whisk").delete()
        shown, page = self.compared(as_director, made.plan, draft)
        assert [(line.left.has, line.right.has) for line in shown.differing] == [(True, False)]
        assert "not taught" in page

    def test_reviews_of_a_figure_in_no_lesson_are_listed(self, as_director, director):
        made = planned()
        for index in (7, 9):
            PlanReview.objects.create(
                plan_figure=made.row("whisk"), lesson=made.lessons[index], due=made.lessons[index]
            )
        draft = start_draft(course=made.course, by=director, source=made.plan)
        draft.figures.get(figure__name="whisk").introductions.all().delete()
        shown, page = self.compared(as_director, made.plan, draft)
        line = next(line for line in shown.lines if line.name == "whisk")
        assert (line.right.number, line.right.again) == (None, (8, 10))
        assert page.count('<span class="mark again">Again</span> 8, 10') == 2

    def test_the_only_other_plan_is_laid_beside_at_once(self, as_director, director):
        made = planned()
        draft = start_draft(course=made.course, by=director, source=made.plan)
        page = as_director.get(reverse("lessons:plan-compare", args=[made.plan.pk]))
        assert page.context["compared"].right == draft
        draft.name = "As published 25 October"
        draft.save()
        page = as_director.get(reverse("lessons:plan-compare", args=[made.plan.pk])).content.decode()
        assert "Publish the plan of 25 October again" in page

    def test_the_aims_stand_folded_away(self, as_director, director):
        made = planned()
        draft = start_draft(course=made.course, by=director, source=made.plan)
        row = draft.figures.get(figure__name="whisk")
        row.introductions.all().delete()
        shown, _ = self.compared(as_director, made.plan, draft)
        assert (shown.aims[0].before, shown.aims[0].after) == (0, 1)

    def test_another_courses_plan_is_not_laid_beside_it(self, as_director):
        one, other = planned(), planned()
        address = reverse("lessons:plan-compare-with", args=[one.plan.pk, other.plan.pk])
        assert as_director.get(address).status_code == 404

    def test_alone_it_says_so(self, as_director):
        made = planned()
        page = as_director.get(reverse("lessons:plan-compare", args=[made.plan.pk])).content.decode()
        assert "no other plan to lay beside it" in page

    @pytest.mark.parametrize(("figures", "lessons"), [(2, 8), (12, 14)])
    def test_it_costs_the_same_queries_at_any_size(
        self, as_director, director, figures, lessons, django_assert_num_queries
    ):
        made = planned(figures={f"figure {number}": 5 for number in range(figures)}, lessons=lessons)
        draft = start_draft(course=made.course, by=director, source=made.plan)
        with django_assert_num_queries(33):
            as_director.get(reverse("lessons:plan-compare-with", args=[made.plan.pk, draft.pk]))
