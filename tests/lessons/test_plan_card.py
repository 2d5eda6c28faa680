"""A figure's card: moving it by a form, and being told at once what that breaks."""

import re

import pytest
from django.urls import reverse

from lessons.models import PlanBar, PlanReview, PlanStatus, TermPlan
from tests.factories import FigureFactory, PlanFigureFactory
from tests.lessons.planned import as_person, planned

pytestmark = pytest.mark.usefixtures("story_day")

HTMX = {"HTTP_HX_REQUEST": "true"}


def url_of(made, name):
    return reverse("lessons:plan-figure", args=[made.plan.pk, made.row(name).figure_id])


def typed(client, made, name, **changes):
    """The card's form as it stands, with some fields changed; None leaves a field out."""
    form = client.get(url_of(made, name)).context["form"]
    data = {field: value for field, value in form.initial.items() if value is not False}
    data |= {f"initial-{field}": value for field, value in form.initial.items() if field != "version"}
    data |= changes
    return {field: value for field, value in data.items() if value is not None}


def save(client, made, name, *, htmx=True, **changes):
    data = typed(client, made, name, **changes)
    return client.post(url_of(made, name), data, **(HTMX if htmx else {}))


def test_it_says_what_the_figure_needs_and_opens_and_where_they_stand(as_director):
    made = planned()
    card = as_director.get(url_of(made, "turn")).context["card"]
    assert [(place.name, place.number) for place in card.needs] == [("box", 1)]
    assert [(place.name, place.number) for place in card.opens] == [("whisk", 7)]


def test_it_opens_in_the_register_and_as_a_page_of_its_own(as_director):
    made = planned()
    alone = as_director.get(url_of(made, "turn")).content.decode()
    within = as_director.get(url_of(made, "turn"), **HTMX).content.decode()
    assert "<!doctype html>" in alone
    assert "<!doctype html>" not in within
    assert "keep in this lesson" in alone
    assert "keep in this lesson" in within


def test_only_lessons_to_come_are_offered(as_director):
    made = planned()
    choices = as_director.get(url_of(made, "turn")).context["form"].fields["lesson"].choices
    assert [value for value, _ in choices] == ["none", *(str(lesson.pk) for lesson in made.lessons[5:])]


def test_a_move_into_a_wrong_place_is_saved_and_told_why_it_does_not_fit(as_director):
    made = planned()
    answer = save(as_director, made, "turn", lesson=made.lessons[7].pk)
    shown = answer.content.decode()
    assert "Saved, but this does not fit" in shown
    assert "whisk begins in lesson 7 and needs turn in an earlier lesson" in shown
    assert made.place_of("turn") == 7


def test_the_answer_brings_the_register_and_its_findings_along(as_director):
    made = planned()
    shown = save(as_director, made, "turn", lesson=made.lessons[7].pk).content.decode()
    assert '<table class="board" id="register" hx-swap-oob="true"' in shown
    assert 'id="plan-headline" hx-swap-oob="true"' in shown


def test_a_move_that_fits_says_so_and_lays_its_reviews_anew(as_director):
    made = planned(figures={"box": 0, "turn": 5})
    shown = save(as_director, made, "turn", lesson=made.lessons[6].pk).content.decode()
    assert "Saved. It fits." in shown
    again = [made.lessons.index(row.lesson) for row in made.row("turn").reviews.all()]
    assert again == [7, 8, 10]


def test_a_figure_is_taken_out_of_the_plan(as_director):
    made = planned()
    shown = save(as_director, made, "whisk", lesson="none").content.decode()
    assert made.place_of("whisk") is None
    assert "whisk must be taught this term and stands in no lesson." in shown


def test_a_figure_is_kept_in_its_lesson_and_let_go_again(as_director):
    made = planned()
    save(as_director, made, "turn", pinned="on")
    assert made.row("turn").pinned == made.lessons[5]
    save(as_director, made, "turn", pinned=None)
    assert made.row("turn").pinned is None


def test_keeping_it_without_a_lesson_is_refused_at_the_field(as_director):
    made = planned()
    answer = save(as_director, made, "turn", lesson="none", pinned="on")
    assert answer.context["form"].errors["pinned"] == ["Choose the lesson it is kept in."]
    assert made.place_of("turn") == 5


def test_what_is_asked_of_it_is_kept_on_its_row(as_director):
    made = planned()
    save(
        as_director,
        made,
        "whisk",
        required=None,
        importance=9,
        parts=2,
        earliest=made.lessons[6].pk,
        latest=made.lessons[9].pk,
        barred=[made.lessons[8].pk],
    )
    row = made.row("whisk")
    assert (row.required, row.importance, row.parts) == (False, 9, 2)
    assert (row.earliest, row.latest) == (made.lessons[6], made.lessons[9])
    assert [bar.lesson for bar in row.bars.all()] == [made.lessons[8]]
    assert row.introductions.count() == 2


def test_a_bar_on_a_lesson_that_has_been_survives_a_save(as_director):
    made = planned()
    PlanBar.objects.create(plan_figure=made.row("turn"), lesson=made.lessons[1])
    save(as_director, made, "turn", importance=3)
    assert made.row("turn").bars.count() == 1


def test_the_latest_before_the_earliest_is_refused_at_the_field_and_nothing_typed_is_lost(as_director):
    made = planned()
    answer = save(
        as_director, made, "turn", earliest=made.lessons[8].pk, latest=made.lessons[6].pk, importance=9
    )
    form = answer.context["form"]
    assert form.errors["latest"] == ["The latest lesson lies before the earliest."]
    assert form["importance"].value() == "9"
    assert made.row("turn").importance == 1


@pytest.mark.parametrize(
    ("field", "wrong"), [("lesson", "999999"), ("importance", "0"), ("parts", "x"), ("again_in", ["999999"])]
)
def test_wrong_input_is_said_at_its_field(as_director, field, wrong):
    made = planned()
    answer = save(as_director, made, "turn", **{field: wrong})
    assert field in answer.context["form"].errors
    assert made.place_of("turn") == 5


def test_its_reviews_are_added_moved_and_taken_away(as_director):
    made = planned(figures={"box": 0, "turn": 5})
    save(as_director, made, "turn", again_in=[made.lessons[6].pk, made.lessons[8].pk])
    placed = PlanReview.objects.filter(plan_figure=made.row("turn")).order_by("lesson__date")
    assert [(made.lessons.index(row.lesson), made.lessons.index(row.due)) for row in placed] == [
        (6, 6),
        (8, 7),
    ]
    save(as_director, made, "turn", again_in=None)
    assert not placed.all().exists()


def test_a_taught_figure_cannot_be_moved(as_director):
    made = planned()
    answer = save(as_director, made, "box", lesson=made.lessons[7].pk)
    assert "has been taught" in answer.context["form"].errors["lesson"][0]
    assert made.place_of("box") == 0


def test_somebody_elses_change_is_shown_and_what_was_typed_stays(as_director):
    made = planned()
    data = typed(as_director, made, "turn", lesson=made.lessons[8].pk)
    save(as_director, made, "turn", importance=3)
    shown = as_director.post(url_of(made, "turn"), data, **HTMX)
    page = shown.content.decode()
    assert "Somebody changed this plan" in page
    assert "<b>Matters</b> was as any other and is now more than others." in page
    assert shown.context["form"]["lesson"].value() == str(made.lessons[8].pk)
    assert made.place_of("turn") == 5


def test_the_register_beside_a_conflict_is_the_one_that_stands(as_director):
    made = planned(figures={"box": 0, "turn": 5})
    data = typed(as_director, made, "turn", importance=3)
    save(as_director, made, "turn", lesson=made.lessons[7].pk)
    page = as_director.post(url_of(made, "turn"), data, **HTMX)
    shown = page.content.decode()
    assert '<table class="board" id="register" hx-swap-oob="true"' in shown
    row = next(row for row in page.context["board"].rows if row.name == "turn")
    assert next(cell.column.number for cell in row.cells if cell.marks) == 8
    assert made.row("turn").importance == 1


class TestSomebodyElseChangedAnotherFigure:
    def test_both_changes_stand_and_it_is_said(self, as_director):
        made = planned(figures={"box": 0, "turn": 5, "whisk": 6})
        data = typed(as_director, made, "turn", importance=3)
        save(as_director, made, "whisk", importance=9)
        page = as_director.post(url_of(made, "turn"), data, **HTMX).content.decode()
        assert "Somebody changed other figures meanwhile" in page
        assert (made.row("turn").importance, made.row("whisk").importance) == (3, 9)

    def test_where_both_together_break_something_it_is_asked_first(self, as_director):
        made = planned(figures={"box": 0, "turn": 5, "whisk": 8})
        data = typed(as_director, made, "turn", lesson=made.lessons[7].pk)
        save(as_director, made, "whisk", lesson=made.lessons[6].pk)
        shown = as_director.post(url_of(made, "turn"), data, **HTMX)
        page = shown.content.decode()
        assert "As it stands now your change does not fit: whisk begins in lesson 7 and needs turn" in page
        assert made.place_of("turn") == 5
        assert shown.context["form"]["lesson"].value() == str(made.lessons[7].pk)

    def test_one_s_own_save_speaks_of_nobody(self, as_director):
        made = planned()
        assert "Somebody" not in save(as_director, made, "turn", importance=3).content.decode()


class TestTryingALesson:
    """Another lesson chosen in the card is answered before anything is saved."""

    def tried(self, client, made, name, lesson):
        url = reverse("lessons:plan-figure-try", args=[made.plan.pk, made.row(name).figure_id])
        return client.get(url, {"lesson": lesson})

    def test_it_says_what_would_break_and_changes_nothing(self, as_director):
        made = planned()
        shown = self.tried(as_director, made, "turn", made.lessons[7].pk).content.decode()
        assert "Not saved yet." in shown
        assert "whisk begins in lesson 7 and needs turn in an earlier lesson" in shown
        assert made.place_of("turn") == 5

    def test_a_lesson_it_fits_in(self, as_director):
        made = planned(figures={"box": 0, "turn": 5})
        assert (
            "It would fit there."
            in self.tried(as_director, made, "turn", made.lessons[6].pk).content.decode()
        )

    def test_where_it_stands_nothing_is_said(self, as_director):
        made = planned()
        assert self.tried(as_director, made, "turn", made.lessons[5].pk).content.decode().strip() == ""

    def test_taking_it_out_is_answered_too(self, as_director):
        made = planned()
        shown = self.tried(as_director, made, "turn", "none").content.decode()
        assert "turn must be taught this term and stands in no lesson; whisk needs it first." in shown

    def test_a_figure_kept_in_its_lesson_is_kept_in_the_new_one(self, as_director):
        made = planned(figures={"box": 0, "turn": 5})
        made.plan.figures.filter(figure__name="turn").update(pinned=made.lessons[5])
        shown = self.tried(as_director, made, "turn", made.lessons[6].pk).content.decode()
        assert "It would fit there." in shown

    @pytest.mark.parametrize("wrong", ["", "x", "999999"])
    def test_a_lesson_that_is_not_offered_is_not_found(self, as_director, wrong):
        assert self.tried(as_director, planned(), "turn", wrong).status_code == 404


def test_reviews_that_moved_along_are_said(as_director):
    made = planned(figures={"box": 0, "turn": 5})
    for at in (6, 7, 9):
        PlanReview.objects.create(plan_figure=made.row("turn"), lesson=made.lessons[at], due=made.lessons[at])
    shown = save(as_director, made, "turn", lesson=made.lessons[8].pk).content.decode()
    assert "Its Again moved with it: now in lessons 10 and 11." in shown


def test_saving_again_after_reading_it_goes_over_what_stands(as_director):
    made = planned()
    data = typed(as_director, made, "turn", lesson=made.lessons[8].pk)
    save(as_director, made, "turn", importance=3)
    form = as_director.post(url_of(made, "turn"), data, **HTMX).context["form"]
    as_director.post(url_of(made, "turn"), data | {"version": form["version"].value()}, **HTMX)
    assert made.place_of("turn") == 8


def test_saving_again_leaves_alone_what_somebody_else_changed_and_oneself_did_not(as_director):
    made = planned(figures={"box": 0, "turn": 5})
    data = typed(as_director, made, "turn", importance=9)
    save(as_director, made, "turn", lesson=made.lessons[7].pk)
    form = as_director.post(url_of(made, "turn"), data, **HTMX).context["form"]
    again = {field: form[field].value() for field in form.fields if form[field].value() not in (False, None)}
    again |= {f"initial-{field}": form.initial[field] for field in form.fields if field != "version"}
    as_director.post(url_of(made, "turn"), again, **HTMX)
    assert made.place_of("turn") == 7
    assert made.row("turn").importance == 9
    assert [made.lessons.index(row.lesson) for row in made.row("turn").reviews.all()] == [8, 9]


def test_what_both_changed_is_shown_with_both_values(as_director):
    made = planned()
    data = typed(as_director, made, "turn", importance=9)
    save(as_director, made, "turn", importance=3)
    page = as_director.post(url_of(made, "turn"), data, **HTMX).content.decode()
    assert "<b>Matters:</b> you chose most of all; it stands at more than others." in page
    assert made.row("turn").importance == 3


def test_without_javascript_it_answers_on_a_page_of_its_own(as_director):
    made = planned()
    answer = save(as_director, made, "turn", htmx=False, lesson=made.lessons[7].pk)
    assert answer.url == url_of(made, "turn")
    shown = as_director.get(answer.url).content.decode()
    assert "whisk begins in lesson 7 and needs turn in an earlier lesson" in shown


def test_what_breaks_in_its_lesson_stands_on_its_card_too(as_director):
    made = planned(figures={"box": 0, "turn": 5})
    figure = FigureFactory(level=made.course.levels.get(), name="sway")
    PlanFigureFactory(plan=made.plan, figure=figure, new_in=made.lessons[5])
    shown = as_director.get(url_of(made, "sway")).content.decode()
    assert "Lesson 6 takes at most 1 new, but 2 are planned." in shown


def test_a_published_plan_and_a_figure_outside_the_plan_have_no_card(as_director):
    made = planned(status=PlanStatus.PUBLISHED)
    assert as_director.get(url_of(made, "turn")).status_code == 404
    TermPlan.objects.update(status=PlanStatus.DRAFT)
    stranger = FigureFactory()
    url = reverse("lessons:plan-figure", args=[made.plan.pk, stranger.pk])
    assert as_director.get(url).status_code == 404


def test_an_instructor_may_not_and_no_other_method_is_known(as_director, client, instructor, school):
    made = planned()
    assert as_director.delete(url_of(made, "turn")).status_code == 405
    assert as_person(client, instructor).get(url_of(made, "turn")).status_code == 403


@pytest.mark.parametrize(("figures", "lessons"), [(2, 8), (12, 14)])
def test_the_card_costs_the_same_queries_at_any_size(
    as_director, figures, lessons, django_assert_num_queries
):
    made = planned(figures={f"figure {n}": n % 2 * 5 for n in range(figures)}, lessons=lessons)
    with django_assert_num_queries(23):
        as_director.get(url_of(made, "figure 1"))


def test_a_save_reports_what_breaks_and_mends_as_a_dragged_mark_does(as_director):
    made = planned()
    answer = save(as_director, made, "turn", lesson=made.lessons[7].pk)
    said = answer.content.decode()
    assert "turn went from lesson 6 to lesson 8." in said
    assert "breaks:</b> turn" in said or "breaks:</b> whisk begins in lesson 7" in said
    mended = save(as_director, made, "turn", lesson=made.lessons[5].pk)
    assert "mended:</b> <s>whisk begins in lesson 7" in mended.content.decode()


def test_a_save_that_changes_nothing_reports_no_earlier_step(as_director):
    made = planned()
    save(as_director, made, "turn", lesson=made.lessons[7].pk)
    assert save(as_director, made, "turn").context["card"].touch is None


def test_a_refused_company_is_stored_once_one_tick_is_taken_out(as_director):
    made = planned()
    other = str(made.row("whisk").pk)
    data = typed(as_director, made, "turn", together=[other], apart=[other])
    refused = as_director.post(url_of(made, "turn"), data, **HTMX).content.decode()
    assert "cannot both belong on one evening" in refused
    # What a browser sends of the card as it came back: its hidden fields, and the one tick that is left.
    sent = {name: value for name, value in data.items() if not name.startswith("initial-")} | {"apart": []}
    for name, value in re.findall(r'<input type="hidden" name="(initial-[a-z_]+)" value="([^"]*)"', refused):
        sent.setdefault(name, []).append(value)
    as_director.post(url_of(made, "turn"), sent, **HTMX)
    held = [{row.figure.name for row in one.figures.all()} for one in made.plan.sets.all()]
    assert held == [{"turn", "whisk"}]
