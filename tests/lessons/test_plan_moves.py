"""A mark of a draft is held, put down and taken back; what others changed is seen at the next touch."""

import pytest
from django.urls import reverse

from lessons.actions.plans import move_introduction
from lessons.models import PlanReview, PlanStatus
from school import clock
from tests.factories import FigureFactory
from tests.lessons.planned import planned

pytestmark = pytest.mark.usefixtures("story_day")

HTMX = {"HTTP_HX_REQUEST": "true"}


def hold(client, made, name, kind="new", **more):
    made.plan.refresh_from_db()
    address = reverse("lessons:plan-places", args=[made.plan.pk, made.row(name).figure_id])
    return client.get(address, {"version": made.plan.version, "kind": kind, **more})


def says(client, made, name, **more):
    """Lesson number (or "none") -> what it says to the mark in a word."""
    number = {str(lesson.pk): place for place, lesson in enumerate(made.lessons, start=1)} | {"none": "none"}
    places = hold(client, made, name, **more).json()["places"]
    return {number[key]: said["short"] for key, said in places.items()}


def put(client, made, name, target, *, kind="new", origin=None, version=None, **headers):
    """Put a mark down in the lesson of this index (None: in no lesson); from where it stands."""
    made.plan.refresh_from_db()
    row = made.row(name)
    stands = row.introductions.first()
    data = {
        "version": version or made.plan.version,
        "figure": row.figure_id,
        "kind": kind,
        "origin": made.lessons[origin].pk if origin is not None else stands.lesson_id if stands else "",
        "target": "" if target is None else made.lessons[target].pk,
    }
    return client.post(reverse("lessons:plan-move", args=[made.plan.pk]), data, **(headers or HTMX))


def take_back(client, made, version=None):
    made.plan.refresh_from_db()
    step = made.plan.steps.filter(taken_back__isnull=True).first()
    data = {"version": version or made.plan.version, "step": step.pk}
    return client.post(reverse("lessons:plan-take-back", args=[made.plan.pk]), data, **HTMX)


class TestHolding:
    def test_every_lesson_to_come_says_whether_it_fits(self, as_director):
        made = planned()
        assert says(as_director, made, "whisk") == {
            6: "too early",
            7: "fits",
            8: "fits",
            9: "fits",
            10: "fits",
            11: "no new here",
            "none": "must be taught",
        }

    def test_why_not_is_a_sentence_and_the_cost_is_told(self, as_director):
        made = planned()
        places = hold(as_director, made, "whisk").json()["places"]
        first = places[str(made.lessons[5].pk)]
        assert not first["may"]
        assert "whisk begins in lesson 6 and needs turn in an earlier lesson" in first["sentence"]
        assert places[str(made.lessons[7].pk)]["costs"] == [
            "Lessons by which reviews are early, late or missing: 14 → 8 (better)"
        ]
        assert places["none"]["costs"][0] == "Left out, by how much it matters: 0 → 1 (worse)"

    def test_what_waits_for_a_figure_speaks_too(self, as_director):
        made = planned()
        assert says(as_director, made, "turn")[8] == "too late"

    def test_an_optional_figure_may_stay_out(self, as_director):
        made = planned()
        made.plan.figures.filter(figure__name="whisk").update(required=False)
        assert says(as_director, made, "whisk")["none"] == "may stay out"

    def test_a_pinned_figure_takes_its_pin_along(self, as_director):
        made = planned()
        made.plan.figures.filter(figure__name="whisk").update(pinned=made.lessons[6])
        assert says(as_director, made, "whisk")[8] == "fits"

    def test_an_again_says_where_it_is_due(self, as_director):
        made = planned(figures={"box": 0, "turn": 5})
        for index in (6, 7, 9):
            PlanReview.objects.create(
                plan_figure=made.row("turn"), lesson=made.lessons[index], due=made.lessons[index]
            )
        said = says(as_director, made, "turn", kind="again", origin=made.lessons[9].pk)
        assert said[6] == "wrong day"
        assert said[8] == "is there"
        assert said[11] == "fits"
        assert said["none"] == "may stay out"

    def test_a_changed_draft_is_read_anew_first(self, as_director, director):
        made = planned()
        row = made.row("turn")
        address = reverse("lessons:plan-places", args=[made.plan.pk, row.figure_id])
        move_introduction(plan=made.plan, version=1, plan_figure=row, lesson=made.lessons[7], by=director)
        assert as_director.get(address, {"version": 1, "kind": "new"}).json() == {"stale": True}

    @pytest.mark.parametrize(
        "asked",
        [
            {},
            {"version": "x", "kind": "new"},
            {"version": 1, "kind": "newer"},
            {"version": 1, "kind": "again"},
            {"version": 1, "kind": "again", "origin": "-1"},
        ],
    )
    def test_half_a_question_has_no_answer(self, as_director, asked):
        made = planned()
        address = reverse("lessons:plan-places", args=[made.plan.pk, made.row("turn").figure_id])
        assert as_director.get(address, asked).status_code == 400


class TestPuttingDown:
    def test_it_moves_and_says_what_it_did(self, as_director):
        made = planned()
        shown = put(as_director, made, "whisk", 8).content.decode()
        assert made.place_of("whisk") == 8
        assert "whisk went from lesson 7 to lesson 9." in shown
        assert "Everything fits." in shown

    @pytest.mark.parametrize("fell_out", [False, True])
    def test_what_is_planned_for_a_lesson_gone_by_is_put_down_from_no_lesson(self, as_director, fell_out):
        made = planned()
        made.row("whisk").introductions.update(lesson=made.lessons[9 if fell_out else 3])
        if fell_out:
            type(made.lessons[9]).objects.filter(pk=made.lessons[9].pk).update(cancelled_at=clock.now())
        version, row = made.plan.version, made.row("whisk")
        sent = {"version": version, "figure": row.figure_id, "kind": "new", "target": made.lessons[7].pk}
        shown = as_director.post(reverse("lessons:plan-move", args=[made.plan.pk]), sent, **HTMX)
        assert "whisk was put into lesson 8." in shown.content.decode()
        assert made.place_of("whisk") == 7

    def test_what_breaks_and_what_it_costs_is_told(self, as_director):
        made = planned()
        page = put(as_director, made, "whisk", None)
        shown = page.content.decode()
        assert "breaks:</b> whisk must be taught this term and stands in no lesson." in shown
        assert "Left out, by how much it matters: 0 → <b>1</b>" in shown

    def test_what_is_mended_is_told(self, as_director):
        made = planned(figures={"box": 0, "turn": 6, "whisk": 6})
        touch = put(as_director, made, "whisk", 7).context["touch"]
        assert touch.breaks == []
        assert any("whisk begins in lesson 7" in sentence for sentence in touch.mends)

    def test_only_what_looks_otherwise_is_sent(self, as_director):
        made = planned()
        FigureFactory(level=made.course.levels.get(), name="sway")
        touch = put(as_director, made, "whisk", 8).context["touch"]
        assert not touch.whole
        assert [row.name for row in touch.rows] == ["whisk"]
        assert {evening.column.number for evening in touch.evenings} >= {7, 9}

    def test_the_pin_goes_along(self, as_director):
        made = planned()
        made.plan.figures.filter(figure__name="whisk").update(pinned=made.lessons[6])
        put(as_director, made, "whisk", 8)
        assert made.row("whisk").pinned == made.lessons[8]
        assert made.plan.steps.count() == 1

    def test_an_again_moves_alone(self, as_director):
        made = planned(figures={"box": 0, "turn": 5})
        for index in (6, 7):
            PlanReview.objects.create(
                plan_figure=made.row("turn"), lesson=made.lessons[index], due=made.lessons[index]
            )
        put(as_director, made, "turn", 8, kind="again", origin=7)
        assert [made.lessons.index(one.lesson) for one in made.row("turn").reviews.all()] == [6, 8]
        assert made.place_of("turn") == 5

    def test_a_figure_that_stands_nowhere_is_placed(self, as_director):
        made = planned(figures={"box": 0, "turn": None})
        put(as_director, made, "turn", 6)
        assert made.place_of("turn") == 6

    def test_a_lesson_that_has_been_refuses_in_a_sentence(self, as_director):
        made = planned()
        shown = put(as_director, made, "whisk", 2).content.decode()
        assert "The lesson of Tuesday 20 January has been." in shown
        assert made.place_of("whisk") == 6

    def test_another_courses_lesson_refuses_too(self, as_director):
        made, other = planned(), planned()
        row = made.row("whisk")
        data = {"version": 1, "figure": row.figure_id, "kind": "new", "origin": made.lessons[6].pk}
        data["target"] = other.lessons[8].pk
        shown = as_director.post(reverse("lessons:plan-move", args=[made.plan.pk]), data, **HTMX)
        assert "does not take place in this course" in shown.content.decode()

    def test_what_is_not_whole_changes_nothing(self, as_director):
        made = planned()
        shown = as_director.post(reverse("lessons:plan-move", args=[made.plan.pk]), {"kind": "new"}, **HTMX)
        assert "nothing was changed" in shown.content.decode()
        assert not made.plan.steps.exists()

    def test_a_published_plan_is_not_moved(self, as_director):
        made = planned(status=PlanStatus.PUBLISHED)
        shown = put(as_director, made, "whisk", 8).content.decode()
        assert "is not changed any more. Start a draft from it." in shown

    def test_without_a_script_it_leads_back_to_the_plan(self, as_director):
        made = planned()
        answer = put(as_director, made, "whisk", 8, HTTP_ACCEPT="text/html")
        assert answer.url == reverse("lessons:plan", args=[made.plan.pk])

    @pytest.mark.parametrize(("figures", "lessons"), [(2, 8), (12, 14)])
    def test_it_costs_the_same_queries_at_any_size(
        self, as_director, figures, lessons, django_assert_num_queries
    ):
        names = {f"figure {number}": 5 for number in range(figures)}
        made = planned(figures=names, lessons=lessons)
        put(as_director, made, "figure 0", 7)
        made.plan.refresh_from_db()
        with django_assert_num_queries(65):
            put(as_director, made, "figure 0", 6)


class TestTakingBack:
    def test_several_moves_are_taken_back_one_by_one(self, as_director):
        made = planned()
        for index in (7, 8, 9):
            put(as_director, made, "whisk", index)
        stood = []
        for _ in range(3):
            shown = take_back(as_director, made).content.decode()
            assert "Taken back: whisk went" in shown
            stood.append(made.place_of("whisk"))
        assert stood == [8, 7, 6]
        page = as_director.get(reverse("lessons:plan", args=[made.plan.pk]))
        assert page.context["last_step"] is None

    def test_a_figure_taken_out_by_the_list_of_figures_comes_back(self, as_director):
        made = planned()
        box = made.row("box").figure_id
        data = {f"importance-{row.figure_id}": 1 for row in made.plan.figures.all()}
        data |= {"version": 1, f"teach-{box}": "on", f"required-{box}": "on"}
        as_director.post(reverse("lessons:plan-figures", args=[made.plan.pk]), data)
        assert made.plan.figures.count() == 1
        touch = take_back(as_director, made).context["touch"]
        assert touch.whole
        assert made.place_of("whisk") == 6

    def test_the_page_of_changes_names_each_with_who_and_what(self, as_director, director):
        made = planned()
        put(as_director, made, "whisk", 8)
        put(as_director, made, "turn", 6)
        take_back(as_director, made)
        page = as_director.get(reverse("lessons:plan-changes", args=[made.plan.pk])).content.decode()
        assert "<s>turn went from lesson 6 to lesson 7.</s>" in page
        assert page.count("Take back") == 1
        assert director.name in page


class TestTwoAtOneDraft:
    def test_the_next_touch_shows_what_the_other_did_and_both_stand(self, as_director, instructor):
        made = planned(figures={"box": 0, "turn": 5, "whisk": 7})
        seen = made.plan.version
        move_introduction(
            plan=made.plan, version=seen, plan_figure=made.row("turn"), lesson=made.lessons[6], by=instructor
        )
        page = put(as_director, made, "whisk", 8, version=seen)
        shown = page.content.decode()
        assert f"<b>{instructor.name}:</b> turn went from lesson 6 to lesson 7." in shown
        assert 'id="register"' in shown
        assert (made.place_of("turn"), made.place_of("whisk")) == (6, 8)

    def test_the_same_figure_is_not_moved_over_the_others_head(self, as_director, instructor):
        made = planned()
        seen, stood = made.plan.version, made.row("whisk").introductions.get().lesson
        move_introduction(
            plan=made.plan, version=seen, plan_figure=made.row("whisk"), lesson=made.lessons[8], by=instructor
        )
        page = put(as_director, made, "whisk", 9, version=seen, origin=made.lessons.index(stood))
        shown = page.content.decode()
        assert "whisk stands elsewhere by now." in shown
        assert f"<b>{instructor.name}:</b> whisk went from lesson 7 to lesson 9." in shown
        assert made.place_of("whisk") == 8

    def test_where_both_together_break_something_the_second_is_asked(self, as_director, instructor):
        made = planned(figures={"box": 0, "turn": 5, "whisk": 8})
        seen = made.plan.version
        move_introduction(
            plan=made.plan, version=seen, plan_figure=made.row("turn"), lesson=made.lessons[7], by=instructor
        )
        shown = put(as_director, made, "whisk", 6, version=seen).content.decode()
        assert "As it stands now your change does not fit" in shown
        assert made.place_of("whisk") == 8

    def test_the_others_newest_step_is_not_taken_back_unseen(self, as_director, instructor):
        made = planned()
        put(as_director, made, "whisk", 8)
        made.plan.refresh_from_db()
        seen = made.plan.version
        move_introduction(
            plan=made.plan, version=seen, plan_figure=made.row("turn"), lesson=made.lessons[6], by=instructor
        )
        shown = take_back(as_director, made, version=seen).content.decode()
        assert "Somebody changed this plan while you had it open" in shown
        assert made.place_of("turn") == 6

    def test_opening_a_card_is_a_touch_as_well(self, as_director, instructor):
        made = planned()
        move_introduction(
            plan=made.plan, version=1, plan_figure=made.row("turn"), lesson=made.lessons[7], by=instructor
        )
        card = reverse("lessons:plan-figure", args=[made.plan.pk, made.row("whisk").figure_id])
        shown = as_director.get(card, {"seen": 1}, **HTMX).content.decode()
        assert f"<b>{instructor.name}:</b> turn went from lesson 6 to lesson 8." in shown
        assert 'id="register" hx-swap-oob="true"' in shown
        for seen in (2, "", "x"):
            assert "register" not in as_director.get(card, {"seen": seen}, **HTMX).content.decode()

    def test_the_register_can_be_read_anew_with_what_changed(self, as_director, instructor):
        made = planned()
        move_introduction(
            plan=made.plan, version=1, plan_figure=made.row("turn"), lesson=made.lessons[7], by=instructor
        )
        address = reverse("lessons:plan-now", args=[made.plan.pk])
        shown = as_director.get(address, {"version": 1}, **HTMX).content.decode()
        assert "Changed meanwhile" in shown
        assert as_director.get(address, {"version": "old"}, **HTMX).status_code == 200
