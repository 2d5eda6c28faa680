"""A figure's mark is held over the register: each lesson says whether it may go there, and at what cost."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lessons.planners.places import place_for, places_for, reviews_if_new_in
from lessons.planners.term import (
    FigureToTeach,
    LessonSlot,
    ProblemError,
    Review,
    TermProblem,
    check_plan,
    plan_term,
)

ROOMY = tuple(LessonSlot(index, 60) for index in range(8))


def term(*figures, lessons=ROOMY, **more):
    return TermProblem(figures, lessons, **more)


def allowed(places):
    return [place.index for place in places if place.allowed]


ALEMANA = FigureToTeach("alemana", 20, 5, order=1)
HOCKEY_STICK = FigureToTeach("hockey stick", 20, 5, needs={"alemana"}, order=2)


class TestWhereItMayGo:
    def test_after_what_it_needs_and_before_what_needs_it(self):
        fan = FigureToTeach("fan", 20, order=0)
        alemana = FigureToTeach("alemana", 20, needs={"fan"}, order=1)
        plan = {"fan": 1, "alemana": 3, "hockey stick": 5}
        places = places_for(term(fan, alemana, HOCKEY_STICK), plan, (), "alemana")
        assert allowed(places) == [2, 3, 4]
        assert "alemana begins in lesson 2 and needs fan in an earlier lesson" in places[1].sentence
        assert "hockey stick begins in lesson 6 and needs alemana in an earlier lesson" in places[5].sentence

    @pytest.mark.parametrize(
        ("demand", "expected", "sentence"),
        [
            ({"earliest": 5}, [5, 6, 7], "may not begin before lesson 6"),
            ({"latest": 1}, [0, 1], "must begin by lesson 2"),
            ({"pinned": 4}, [4], "is kept in lesson 5"),
            ({"barred": {0, 1, 2, 3, 4, 5}}, [6, 7], "where it may not begin"),
            ({"parts": 7}, [0, 1], "not all of its 7 lessons lie inside the term"),
        ],
    )
    def test_its_own_dates(self, demand, expected, sentence):
        places = places_for(term(FigureToTeach("fan", 20, **demand)), {"fan": expected[0]}, (), "fan")
        assert allowed(places) == expected
        assert any(sentence in place.sentence for place in places if not place.allowed)

    def test_not_into_a_lesson_without_room_or_with_enough_new(self):
        lessons = (LessonSlot(0, 60), LessonSlot(1, 30), LessonSlot(2, 60, max_new=1), LessonSlot(3, 60))
        figures = [FigureToTeach(key, 20) for key in ("fan", "alemana", "hockey stick")]
        plan = {"fan": 0, "alemana": 1, "hockey stick": 2}
        places = places_for(term(*figures, lessons=lessons), plan, (), "fan")
        assert allowed(places) == [0, 3]
        assert places[1].sentence == "Lesson 2 has room for 30 minutes, but 40 are planned."
        assert places[2].sentence == "Lesson 3 takes at most 1 new, but 2 are planned."

    def test_not_where_it_leaves_a_lesson_with_too_little(self):
        lessons = (LessonSlot(0, 60, min_new=1, min_minutes=20), *ROOMY[1:])
        places = places_for(term(ALEMANA, lessons=lessons), {"alemana": 0}, (), "alemana")
        assert allowed(places) == [0]
        assert "at least 1 new" in places[3].sentence

    def test_neither_away_from_its_company_nor_beside_what_it_is_kept_from(self):
        figures = [FigureToTeach(key, 10) for key in ("whisk", "chasse", "spin")]
        problem = term(*figures, together=[{"whisk", "chasse"}], apart=[{"whisk", "spin"}])
        plan = {"whisk": 2, "chasse": 2, "spin": 4}
        assert allowed(places_for(problem, plan, (), "whisk")) == [2]
        assert "whisk and spin may not share a lesson" in places_for(problem, plan, (), "whisk")[4].sentence

    def test_what_has_been_does_not_change(self):
        lessons = (LessonSlot(0, 60, taught={"alemana"}), *ROOMY[1:])
        problem = term(ALEMANA, HOCKEY_STICK, lessons=lessons)
        plan = {"alemana": 0, "hockey stick": 2}
        assert allowed(places_for(problem, plan, (), "alemana")) == [0]
        hockey_stick = places_for(problem, plan, (), "hockey stick")
        assert allowed(hockey_stick) == [1, 2, 3, 4, 5, 6, 7]
        assert "which is over" in hockey_stick[0].sentence


class TestWhatWasWrongBefore:
    """A move is not blamed for what it leaves as it found it."""

    def test_a_breach_of_others_does_not_stand_in_the_way(self):
        plan = {"hockey stick": 4, "alemana": 5, "fan": 0}
        problem = term(ALEMANA, HOCKEY_STICK, FigureToTeach("fan", 20))
        assert allowed(places_for(problem, plan, (), "fan")) == list(range(8))

    def test_a_figure_may_leave_a_lesson_that_stays_too_full_and_none_may_join_it(self):
        figures = [FigureToTeach(f"figure {number}", 30, required=False) for number in range(4)]
        plan = {"figure 0": 0, "figure 1": 0, "figure 2": 0, "figure 3": 1}
        assert allowed(places_for(term(*figures), plan, (), "figure 0")) == list(range(8))
        assert allowed(places_for(term(*figures), plan, (), "figure 3")) == list(range(1, 8))

    def test_its_own_breach_counts_wherever_it_stays_one(self):
        problem = term(HOCKEY_STICK, ALEMANA)
        assert allowed(places_for(problem, {"hockey stick": 2}, (), "hockey stick")) == []


class TestCosts:
    def test_each_place_tells_the_aims_before_and_after(self):
        problem = term(ALEMANA, FigureToTeach("fan", 30, order=0), ranks=("peak", "order"))
        places = places_for(problem, {"fan": 2, "alemana": 3}, (), "alemana")
        assert list(places[0].aims_before.items())[:2] == [("peak", 30), ("order", 0)]
        assert list(places[0].aims_after.items())[:2] == [("peak", 35), ("order", 1)]
        assert places[2].aims_after["peak"] == 50

    def test_out_of_the_plan_is_a_place_as_well(self):
        problem = term(FigureToTeach("fan", 20, importance=7, required=False), HOCKEY_STICK, ALEMANA)
        plan = {"fan": 2, "alemana": 0, "hockey stick": 3}
        out = place_for(problem, plan, (), "fan", None)
        assert (out.allowed, out.aims_before["left_out"], out.aims_after["left_out"]) == (True, 0, 7)
        needed = place_for(problem, plan, (), "alemana", None)
        assert not needed.allowed
        assert "alemana is left out" in needed.sentence

    def test_a_place_that_sticks_out_of_the_term_has_no_cost(self):
        places = places_for(term(FigureToTeach("fan", 20, parts=2)), {"fan": 0}, (), "fan")
        assert places[7].aims_after == {}
        assert places[6].aims_after != {}


class TestReviews:
    def lessons_of(self, problem, plan, reviews, index):
        return [
            (review.index, review.due)
            for review in reviews_if_new_in(problem, plan, reviews, "alemana", index)
        ]

    def test_they_follow_by_their_distances(self):
        reviews = (Review("alemana", 1, 1), Review("alemana", 2, 2), Review("alemana", 4, 4))
        places = places_for(term(ALEMANA), {"alemana": 0}, reviews, "alemana")
        assert places[0].reviews == reviews
        assert [review.index for review in places[3].reviews] == [4, 5, 7]
        assert [review.index for review in places[5].reviews] == [6, 7]
        assert places[7].reviews == ()

    def test_one_that_may_stay_stays(self):
        reviews = (Review("alemana", 1, 1), Review("alemana", 3, 2))
        assert (3, 3) in self.lessons_of(term(ALEMANA), {"alemana": 0}, reviews, 2)

    def test_one_without_room_goes_beside_or_falls_out_and_breaks_nothing(self):
        lessons = tuple(LessonSlot(index, 4 if index in (3, 4) else 60) for index in range(8))
        problem = term(ALEMANA, lessons=lessons)
        places = places_for(problem, {"alemana": 0}, (), "alemana")
        # Due in lessons 4, 5 and 7: the first has no room in its lesson nor within reach of it.
        assert [(review.index, review.due) for review in places[2].reviews] == [(5, 4), (6, 6)]
        assert places[2].allowed

    def test_what_the_director_did_without_is_not_added(self):
        reviews = (Review("alemana", 2, 2),)
        assert len(self.lessons_of(term(ALEMANA), {"alemana": 0}, reviews, 3)) == 1

    def test_an_overfull_kept_review_is_still_the_checks_to_name(self):
        lessons = tuple(LessonSlot(index, 24 if index == 3 else 60) for index in range(8))
        problem = term(ALEMANA, FigureToTeach("fan", 20), lessons=lessons)
        places = places_for(problem, {"alemana": 0, "fan": 1}, (Review("alemana", 3, 2),), "fan")
        assert not places[3].allowed
        assert "room for 24 minutes, but 25" in places[3].sentence


def test_a_stranger_is_refused_in_a_sentence():
    with pytest.raises(ProblemError, match="fan is no figure of this term"):
        places_for(term(ALEMANA), {}, (), "fan")


@st.composite
def planned_terms(draw):
    count = draw(st.integers(3, 6))
    figures = []
    for number in range(count):
        needs = draw(st.sets(st.integers(0, number - 1), max_size=2)) if number else set()
        figures.append(
            FigureToTeach(
                f"figure {number}",
                draw(st.integers(5, 25)),
                draw(st.integers(0, 6)),
                needs={f"figure {need}" for need in needs},
                required=False,
                importance=draw(st.integers(1, 9)),
                parts=draw(st.integers(1, 2)),
            )
        )
    lessons = tuple(
        LessonSlot(index, draw(st.integers(20, 50)), max_new=draw(st.integers(1, 3))) for index in range(6)
    )
    return TermProblem(tuple(figures), lessons)


@given(problem=planned_terms())
def test_a_sound_plan_stays_sound_exactly_where_a_place_is_allowed(problem):
    plan = plan_term(problem, seconds=5)
    for figure in problem.figures:
        for place in places_for(problem, plan.introductions, plan.reviews, figure.key):
            moved = {**plan.introductions, figure.key: place.index}
            others = [review for review in plan.reviews if review.key != figure.key]
            findings = check_plan(problem, moved, (*others, *place.reviews))
            assert place.allowed == (findings == ())
            assert bool(place.sentence) != place.allowed
            if place.index == plan.introductions.get(figure.key):
                assert place.aims_after == {aim.name: aim.value for aim in plan.aims}
