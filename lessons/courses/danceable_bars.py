"""How far a course can dance its routine after each lesson of the term, as bars that grow along the term."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from fractions import Fraction

from django.template.loader import render_to_string

from curriculum.hooks import RenderedSection
from curriculum.models import Routine
from curriculum.problems import routine_items, routine_report
from curriculum.rules.chain import Passage, RoutineItem
from curriculum.rules.wording import amount
from lessons.courses.course_clock import AfterLesson, CourseKnowledge, knowledge_of
from lessons.models import Course
from school.clock import today
from school.models import Person

# One unit is about one CSS pixel when the picture is as wide as it is meant for.
COLUMN, GAP, HEIGHT, HEAD, FOOT, SIDE = 30, 8, 132, 10, 26, 34


@dataclass(frozen=True)
class Bar:
    """After one lesson. figures, beats: how much of the routine can be danced, from its start; as_far_as: its
    last figure, "" where nothing can."""

    after: AfterLesson
    figures: int
    beats: Fraction
    as_far_as: str
    x: int
    y: float
    height: float

    @property
    def middle(self) -> float:
        return self.x + COLUMN / 2

    @property
    def is_planned(self) -> bool:
        return self.after.is_planned


@dataclass(frozen=True)
class Line:
    """A rule across, at the end of a phrase of the routine or at its end. `label`: bars up to there."""

    y: float
    label: str


@dataclass(frozen=True)
class DanceableTerm:
    """broken: whether a join of the routine is broken, so that it can never be danced whole. unwritten: the
    days of lessons that count as planned, for they are over and not written up."""

    course: Course
    routine: Routine
    bars: tuple[Bar, ...]
    lines: tuple[Line, ...]
    figures: int
    beats: Fraction
    broken: bool
    unwritten: tuple[dt.date, ...]
    width: int
    height: int = HEAD + HEIGHT + FOOT
    base: int = HEAD + HEIGHT

    @property
    def sentence(self) -> str:
        """The whole in words: when it can first be danced from start to end, if ever."""
        whole = next((bar for bar in self.bars if bar.figures == self.figures), None)
        if whole is not None:
            return f"All of it can be danced {whole.after.label}."
        last = self.bars[-1]
        if not last.figures:
            return "None of it can be danced by the end of term."
        return (
            f"By the end of term it can be danced as far as {last.as_far_as} "
            f"({last.figures} of {amount(Fraction(self.figures), 'figure')})."
        )


class Reach:
    """How far a row of figures can be danced with what is known. The joins are checked once: one query."""

    def __init__(self, routine: Routine, items: Sequence[RoutineItem]) -> None:
        self.items = items
        self.figures = tuple(item.figure for item in items if isinstance(item, Passage))
        self.beats = sum((Fraction(item.beats) for item in items if isinstance(item, Passage)), Fraction(0))
        all_known = frozenset(self.figures)
        self.most = routine_report(routine, taught=all_known, items=tuple(items)).danceable
        self.broken = self.most < len(items)

    def with_known(self, known: Collection[str]) -> tuple[int, Fraction, str]:
        """Figures and beats from the start that can be danced, and the last of the figures."""
        figures, beats, last = 0, Fraction(0), ""
        for item in self.items[: self.most]:
            if not isinstance(item, Passage):
                continue
            if item.figure not in known:
                break
            figures, beats, last = figures + 1, beats + item.beats, item.figure
        return figures, beats, last


def danceable_term(knowledge: CourseKnowledge, routine: Routine, reach: Reach) -> DanceableTerm | None:
    """None where there is nothing to draw: no lesson, or a routine without length. No query."""
    if not knowledge.after or not reach.beats:
        return None
    bars = []
    for place, after in enumerate(knowledge.after):
        figures, beats, last = reach.with_known(after.known)
        height = float(HEIGHT * beats / reach.beats)
        x = SIDE + place * (COLUMN + GAP)
        bars.append(Bar(after, figures, beats, last, x, HEAD + HEIGHT - height, height))
    return DanceableTerm(
        course=knowledge.course,
        routine=routine,
        bars=tuple(bars),
        lines=_lines(routine, reach.beats),
        figures=len(reach.figures),
        beats=reach.beats,
        broken=reach.broken,
        unwritten=tuple(lesson.date for lesson in knowledge.unwritten),
        width=SIDE + len(bars) * (COLUMN + GAP),
    )


def _lines(routine: Routine, beats: Fraction) -> tuple[Line, ...]:
    dance = routine.level.dance
    phrase = dance.beats_per_bar * dance.bars_per_phrase
    ends = [Fraction(end) for end in range(phrase, int(beats) + 1, phrase)]
    if not ends or ends[-1] != beats:
        ends.append(beats)
    return tuple(
        Line(HEAD + HEIGHT - float(HEIGHT * end / beats), f"{float(end / dance.beats_per_bar):g}")
        for end in ends[-8:]
    )


def course_danceable(course: Course) -> DanceableTerm | None:
    """For a course's own page; None without a routine. Ten queries, or one more where the
    course came without its levels."""
    if course.routine_id is None:
        return None
    routine = Routine.objects.select_related("level__dance").get(pk=course.routine_id)
    reach = Reach(routine, routine_items(routine))
    return danceable_term(knowledge_of([course])[course.pk], routine, reach)


def danceable_note(routine: Routine, reader: Person) -> RenderedSection | None:
    """For a routine's page: the courses of the reader that dance it, of terms that run or come."""
    rows = Course.objects.for_user(reader).filter(routine=routine, term__last_day__gte=today())
    courses = list(rows.order_by("term__first_day", "key", "pk").prefetch_related("levels"))
    if not courses:
        return None
    knowledge, reach = knowledge_of(courses), Reach(routine, routine_items(routine))
    terms = [danceable_term(knowledge[course.pk], routine, reach) for course in courses]
    drawn = [term for term in terms if term is not None]
    if not drawn:
        return None
    html = render_to_string("lessons/_danceable_notes.html", {"terms": drawn})
    return RenderedSection("danceable", "What can be danced after each lesson", html)
