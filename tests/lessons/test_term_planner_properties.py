"""Properties of every plan, tried on small random terms and against plain enumeration."""

from itertools import product

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lessons.planners.term import (
    FigureToTeach,
    LessonSlot,
    Review,
    TermProblem,
    check_plan,
    plan_term,
    without,
)
from lessons.planners.term_demands import demands, without_all

KEYS = ("basic", "fan", "alemana", "whisk", "wing")
quietly = settings(
    max_examples=60, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)


def maybe(strategy):
    return st.one_of(st.none(), strategy)


@st.composite
def terms(draw, figures=5, lessons=5, history=True, reviews=True):
    """Small terms with a bit of everything; many of them impossible."""
    count = draw(st.integers(1, lessons))
    keys = KEYS[: draw(st.integers(1, figures))]
    at = st.integers(0, count - 1)
    taught = draw(st.integers(0, count - 1)) if history else 0
    made = []
    for place, key in enumerate(keys):
        before = st.frozensets(st.sampled_from(keys[:place]), max_size=2) if place else st.just(frozenset())
        minutes = draw(st.integers(2, 20))
        made.append(
            FigureToTeach(
                key,
                minutes,
                review_minutes=draw(st.integers(0, 6)) if reviews else 0,
                needs=draw(before),
                after=draw(before),
                order=draw(st.integers(0, 3)),
                importance=draw(st.integers(0, 5)),
                required=draw(st.booleans()),
                earliest=draw(maybe(at)) if draw(st.booleans()) else None,
                latest=draw(maybe(at)) if draw(st.booleans()) else None,
                pinned=draw(at) if draw(st.integers(0, 5)) == 0 else None,
                barred=draw(st.frozensets(at, max_size=1)),
                parts=draw(st.sampled_from((1, 1, 1, 2))),
                review_after=draw(st.sampled_from((None, (1,), (2, 3)))),
                least_reviews=draw(st.sampled_from((0, 0, 1))),
            )
        )
    some = st.frozensets(st.sampled_from(keys), max_size=2)
    slots = tuple(
        LessonSlot(
            index,
            draw(st.integers(10, 40)),
            min_minutes=draw(st.sampled_from((0, 0, 0, 8))),
            max_new=draw(st.integers(1, 3)),
            min_new=draw(st.sampled_from((0, 0, 0, 1))),
            taught=draw(some) if index < taught else None,
            reviewed=draw(some) if index < taught else frozenset(),
        )
        for index in range(count)
    )
    return TermProblem(
        tuple(made),
        slots,
        review_slack=draw(st.integers(0, 2)),
        previous=draw(maybe(st.dictionaries(st.sampled_from(keys), at))),
        together=tuple(draw(st.lists(some, max_size=1))),
        apart=tuple(draw(st.lists(some, max_size=1))),
        unfinished=draw(st.dictionaries(st.sampled_from(keys), st.integers(1, 9), max_size=1))
        if taught
        else {},
        ranks=tuple(draw(st.permutations(("left_out", "moved", "late_reviews", "peak", "order")))),
    )


def every_introduction(problem):
    """All ways to place every figure somewhere or nowhere."""
    places = [None, *range(len(problem.lessons))]
    for choice in product(places, repeat=len(problem.figures)):
        pairs = zip(problem.figures, choice, strict=True)
        yield {figure.key: at for figure, at in pairs if at is not None}


def minutes_of(problem, introductions, reviews=()):
    """Minutes by lesson, for terms without history."""
    load = [0] * len(problem.lessons)
    for figure in problem.figures:
        if figure.key in introductions:
            for part in range(figure.parts):
                share = figure.minutes // figure.parts + (part < figure.minutes % figure.parts)
                load[introductions[figure.key] + part] += share
        load = [
            minutes + figure.review_minutes * sum((r.key, r.index) == (figure.key, at) for r in reviews)
            for at, minutes in enumerate(load)
        ]
    return load


@quietly
@given(terms())
def test_every_plan_passes_the_check_and_every_conflict_is_a_conflict(problem):
    answer = plan_term(problem, seconds=20)
    assert answer.status in ("optimal", "impossible")
    if answer.status == "optimal":
        assert check_plan(problem, answer.introductions, answer.reviews) == ()
        assert all(aim.value == aim.bound for aim in answer.aims)
        return
    others = [reason for reason in demands(problem) if reason not in answer.conflict]
    alone = without_all(problem, others)
    assert plan_term(alone, seconds=20).status == "impossible"
    for reason in answer.conflict:
        assert plan_term(without(alone, reason), seconds=20).status == "optimal"


@quietly
@given(terms(figures=4, lessons=4, history=False, reviews=False))
def test_enumeration_agrees_on_what_is_impossible_what_is_left_out_and_the_peak(problem):
    ranked = TermProblem(**{**vars(problem), "previous": None, "ranks": ("left_out", "peak")})
    answer = plan_term(ranked, seconds=20)
    sound = [made for made in every_introduction(ranked) if not check_plan(ranked, made)]
    assert (answer.status == "impossible") == (not sound)
    if sound:
        best = min(
            (
                sum(f.importance for f in ranked.figures if f.key not in made),
                max(minutes_of(ranked, made)),
            )
            for made in sound
        )
        assert tuple(aim.value for aim in answer.aims[:2]) == best


def every_review(problem, introductions):
    """All ways to place each review that may be owed somewhere or nowhere."""
    owed = []
    for figure in problem.figures:
        if figure.key in introductions and figure.review_minutes:
            last = introductions[figure.key] + figure.parts - 1
            dues = [last + distance for distance in figure.review_after or problem.review_after]
            owed += [(figure.key, due) for due in dues if due < len(problem.lessons)]
    places = [None, *range(len(problem.lessons))]
    for choice in product(places, repeat=len(owed)):
        pairs = zip(owed, choice, strict=True)
        yield len(owed), [Review(key, at, due) for (key, due), at in pairs if at is not None]


@settings(quietly, max_examples=20)
@given(terms(figures=2, lessons=4, history=False))
def test_enumeration_agrees_on_late_reviews_too(problem):
    ranked = TermProblem(
        **{
            **vars(problem),
            "previous": None,
            "ranks": ("left_out", "late_reviews", "peak"),
            "review_after": (1, 2),
        }
    )
    answer = plan_term(ranked, seconds=20)
    costs = []
    for made in every_introduction(ranked):
        if any(finding.kind not in ("least", "least_minutes") for finding in check_plan(ranked, made)):
            continue
        for owed, reviews in every_review(ranked, made):
            if not check_plan(ranked, made, reviews):
                late = sum(abs(review.index - review.due) for review in reviews)
                late += (owed - len(reviews)) * (ranked.review_slack + 1)
                left_out = sum(f.importance for f in ranked.figures if f.key not in made)
                costs.append((left_out, late, max(minutes_of(ranked, made, reviews))))
    assert (answer.status == "impossible") == (not costs)
    if costs:
        assert tuple(aim.value for aim in answer.aims[:3]) == min(costs)
