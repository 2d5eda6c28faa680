"""A figure's card: where it stands, what it needs, what breaks, and the form that changes it."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

from django.db.models import prefetch_related_objects
from django.http import Http404, QueryDict

from lessons.actions.steps import said_since
from lessons.board.faults import faults
from lessons.board.moving import Touch, followed
from lessons.forms.cards import NONE, CardLessons, Change, FigureCardForm
from lessons.models import LessonSession, PlanFigure, PlanStatus, TermPlan
from lessons.planners.term import check_plan
from lessons.planners.term_values import FigureToTeach, Finding, Review
from lessons.problems import CourseProblem, course_problem, placements
from lessons.problems.answers import reviews_if_new_in


@dataclass(frozen=True)
class Place:
    """A figure's name and the lesson it is new in, if any; `is_known` where it was learnt before."""

    name: str
    number: int | None = None
    lesson: LessonSession | None = None
    is_known: bool = False


@dataclass
class Card:
    plan: TermPlan
    problem: CourseProblem
    row: PlanFigure
    figure: FigureToTeach
    place: Place
    is_taught: bool
    needs: tuple[Place, ...]
    opens: tuple[Place, ...]
    form: FigureCardForm
    overtaken: str = ""
    others_changed: tuple[Change, ...] = ()
    still_yours: tuple[Change, ...] = ()
    said: tuple[str, ...] = ()
    news: list[tuple[str, list[str]]] = field(default_factory=list)
    touch: Touch | None = None

    @property
    def name(self) -> str:
        return self.row.figure.name

    @property
    def has_choice(self) -> bool:
        """Whether it is still to be chosen where the figure is new."""
        return not self.is_taught and self.name not in self.problem.problem.unfinished

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """What breaks because of this figure, or in the lesson it stands in."""
        introductions, reviews = placements(self.problem)
        at = introductions.get(self.name)
        breaches = check_plan(self.problem.problem, introductions, reviews)
        return tuple(
            finding
            for finding in faults(self.problem, breaches, introductions).found
            if self.name in finding.keys or (not finding.keys and at is not None and at in finding.lessons)
        )

    def say_what_followed(self, asked: Card) -> None:
        """After a save: what came along with what was `asked`, in sentences."""
        told = []
        if asked.form.is_beside:
            self.news = said_since(self.plan, asked.form.cleaned_data["version"], until=self.plan.version)
            told.append("Somebody changed other figures meanwhile; the register shows both.")
        before, now = asked.form.initial["again_in"], self.form.initial["again_in"]
        if asked.form.is_moved and asked.form.again_lessons is None and sorted(before) != sorted(now):
            where = self.form.numbers(now)
            told.append(f"Its Again moved with it: {f'now in {where}' if where else 'none is due any more'}.")
        self.said = tuple(told)
        if self.plan.version > asked.form.initial["version"]:
            self.touch = followed(self.plan, asked.problem, self.problem, self.news)

    def trial(self, lesson: str) -> tuple[Finding, ...] | None:
        """What would not fit that fits now, were the figure new in `lesson` (its key); None where that is no
        lesson the card offers. No query, nothing is written."""
        index = self.form.index_of(lesson)
        if index is None and lesson != NONE:
            return None
        introductions, reviews = placements(self.problem)
        now = set(check_plan(self.problem.problem, introductions, reviews))
        others = tuple(review for review in reviews if review.key != self.name)
        tried = {key: at for key, at in introductions.items() if key != self.name}
        if index is not None:
            tried[self.name] = index
            own = reviews_if_new_in(self.problem, self.name, index)
            others += tuple(Review(self.name, at, due) for at, due in own)
        after = check_plan(self.problem.problem, tried, others)
        # A figure kept in its lesson is kept in the new one, if the tick stays.
        own_pin = ("pinned", (self.name,))
        new = [one for one in after if one not in now and (one.kind, one.keys) != own_pin]
        return faults(self.problem, new, tried).found

    def overtake(self, sentence: str) -> None:
        """Somebody was quicker: say so and what differs, keep what was typed, and take up the new version."""
        self.overtaken = sentence
        version = TermPlan.objects.values_list("version", flat=True).get(pk=self.plan.pk)
        self.news = said_since(self.plan, int(self.form.data.get("version") or version))
        data, others, own = self.form.taken_up(version)
        self.others_changed, self.still_yours = tuple(others), tuple(own)
        self.form = _form(self.row, self.problem, data)
        self.form.is_valid()


def card_of(plan: TermPlan, figure: int, *, data: QueryDict | None = None) -> Card:
    """The card of a figure (pk) of a draft; raises Http404 where the draft does not teach it."""
    if plan.status != PlanStatus.DRAFT:
        raise Http404("only a draft's figures have a card")
    problem = course_problem(plan)
    row = next((row for row in problem.plan_figures.values() if row.figure_id == figure), None)
    if row is None:
        raise Http404("this plan does not teach that figure")
    row.plan = plan
    name = row.figure.name
    introductions, _ = placements(problem)
    figures = {one.key: one for one in problem.problem.figures}
    asked = figures[name]

    def place(key: str) -> Place:
        at = introductions.get(key)
        if at is None:
            return Place(key, is_known=key in problem.problem.known)
        return Place(key, at + 1, problem.lessons[at])

    taught = {key for lesson in problem.problem.lessons for key in lesson.taught or ()}
    return Card(
        plan=plan,
        problem=problem,
        row=row,
        figure=asked,
        place=place(name),
        is_taught=name in taught,
        needs=tuple(place(key) for key in sorted(asked.needs | asked.after)),
        opens=tuple(place(one.key) for one in figures.values() if name in one.needs | one.after),
        form=_form(row, problem, data),
    )


def _form(row: PlanFigure, problem: CourseProblem, data: QueryDict | None) -> FigureCardForm:
    """Ids of its fields do not meet those of the page the card opens in. One query: who goes with whom."""
    prefetch_related_objects([row], "sets__figures")
    others = [other for other in problem.plan_figures.values() if other.pk != row.pk]
    lessons = CardLessons(tuple(enumerate(problem.lessons, start=1)), problem.first_to_come)
    return FigureCardForm(data, row=row, lessons=lessons, others=others, auto_id="card_%s")
