"""What is wrong with a plan? A check that owes nothing to the search.

It reads the problem and the plan afresh: history, reviews and minutes are counted here a second time, on
purpose in another way, so that one mistake can't hide in both.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from .term_check_reviews import review_findings, review_minutes_by_lesson
from .term_values import FigureToTeach, Finding, LessonSlot, Review, TermProblem


def check_plan(
    problem: TermProblem, introductions: Mapping[str, int], reviews: Sequence[Review] = ()
) -> tuple[Finding, ...]:
    """Everything in the plan that breaks the problem's demands; empty for a sound plan.

    `introductions`: key -> index of the lesson with the first part, history included. Unknown keys and
    lessons outside the term are findings too, and the rest of the plan is still read.
    """
    return tuple(_Check(problem, introductions, reviews).findings())


class _Check:
    def __init__(
        self, problem: TermProblem, introductions: Mapping[str, int], reviews: Sequence[Review]
    ) -> None:
        self.problem = problem
        self.figures = {figure.key: figure for figure in problem.figures}
        self.count = len(problem.lessons)
        past = [lesson for lesson in problem.lessons if lesson.taught is not None]
        self.first = len(past)
        self.past: dict[str, int] = {}
        for lesson in reversed(past):
            for key in lesson.taught or ():
                if key not in problem.unfinished:
                    self.past[key] = lesson.index
        self.given = introductions
        self.at = {k: at for k, at in introductions.items() if k in self.figures and 0 <= at < self.count}
        self.reviews = reviews

    def findings(self) -> Iterator[Finding]:
        yield from self._names()
        yield from self._history()
        for key, figure in self.figures.items():
            if self._free(key):
                yield from self._figure(figure)
        for figure in self.problem.figures:
            if figure.key in self.at and self._free(figure.key):
                yield from self._needs(figure)
        yield from self._sets()
        yield from self._lessons()
        ends = {key: self._end(key) for key in self.at}
        yield from review_findings(self.problem, ends, self.past, self.first, self.reviews)

    def _free(self, key: str) -> bool:
        """Whether the figure's introduction is still to be chosen."""
        return key not in self.past and not self._finishing(key)

    def _finishing(self, key: str) -> bool:
        return key in self.problem.unfinished and self.first < self.count

    def _end(self, key: str) -> int:
        return self.at[key] + (self.figures[key].parts - 1 if self._free(key) else 0)

    def _names(self) -> Iterator[Finding]:
        for key, at in self.given.items():
            if key in self.problem.known:
                sentence = f"{key} is known already and is not to be introduced."
                yield Finding("known", (key,), (at,), sentence)
            elif key not in self.figures:
                yield Finding("unknown", (key,), (at,), f"{key} is no figure of this term.")
            elif not 0 <= at < self.count:
                yield Finding("term", (key,), (at,), f"{key} stands in lesson {at + 1}, outside the term.")
        known = self.figures.keys() | self.problem.known
        for figure in self.problem.figures:
            for need in sorted(map(str, (figure.needs | figure.after) - known)):
                sentence = f"{figure.key} needs {need}, which is no figure of this term."
                yield Finding("unknown", (figure.key, need), (), sentence)

    def _history(self) -> Iterator[Finding]:
        for key, at in self.past.items():
            if key in self.figures and self.given.get(key) != at:
                sentence = f"{key} was taught in lesson {at + 1}; the plan does not say so."
                yield Finding("history", (key,), (at,), sentence)
        for key, minutes in self.problem.unfinished.items():
            if self._finishing(key) and key in self.figures and self.given.get(key) != self.first:
                sentence = (
                    f"{key} is unfinished; the {minutes} minutes left belong in lesson {self.first + 1}."
                )
                yield Finding("history", (key,), (self.first,), sentence)
        for key, at in self.at.items():
            if self._free(key) and at < self.first:
                sentence = f"{key} stands in lesson {at + 1}, which is over, and was not taught in it."
                yield Finding("history", (key,), (at,), sentence)

    def _figure(self, figure: FigureToTeach) -> Iterator[Finding]:
        key = figure.key
        if key not in self.at:
            if figure.required:
                yield Finding("required", (key,), (), f"{key} must be taught this term and is left out.")
            if figure.pinned is not None:
                sentence = f"{key} is kept in lesson {figure.pinned + 1} and is left out."
                yield Finding("pinned", (key,), (figure.pinned,), sentence)
            return
        at = self.at[key]
        where = f"{key} begins in lesson {at + 1}"
        if at + figure.parts > self.count:
            sentence = f"{where}, and not all of its {figure.parts} lessons lie inside the term."
            yield Finding("term", (key,), (at,), sentence)
        if figure.pinned is not None and at != figure.pinned:
            sentence = f"{where}, but is kept in lesson {figure.pinned + 1}."
            yield Finding("pinned", (key,), (at, figure.pinned), sentence)
        if figure.earliest is not None and at < figure.earliest:
            sentence = f"{where}, but may not begin before lesson {figure.earliest + 1}."
            yield Finding("earliest", (key,), (at, figure.earliest), sentence)
        if figure.latest is not None and at > figure.latest:
            sentence = f"{where}, but must begin by lesson {figure.latest + 1}."
            yield Finding("latest", (key,), (at, figure.latest), sentence)
        if at in figure.barred:
            yield Finding("barred", (key,), (at,), f"{where}, where it may not begin.")

    def _needs(self, figure: FigureToTeach) -> Iterator[Finding]:
        at = self.at[figure.key]
        for need in sorted(figure.needs | figure.after, key=str):
            if need in self.problem.known or need in self.past or need not in self.figures:
                continue
            strict = need in figure.needs
            wish = "in an earlier lesson" if strict else "in the same lesson or an earlier one"
            if need not in self.at:
                sentence = f"{figure.key} needs {need} {wish}, but {need} is left out."
                yield Finding("need", (figure.key, need), (at,), sentence)
            elif self._end(need) > at - strict:
                done = "finished only" if self._finishing(need) else "introduced"
                sentence = (
                    f"{figure.key} begins in lesson {at + 1} and needs {need} {wish}, "
                    f"but {need} is {done} in lesson {self._end(need) + 1}."
                )
                yield Finding("need", (figure.key, need), (at, self._end(need)), sentence)

    def _sets(self) -> Iterator[Finding]:
        for group in self.problem.together:
            live = [key for key in self.figures if key in group and key not in self.past]
            places = {self.at.get(key) for key in live}
            if len(places) > 1:
                lessons = tuple(sorted(at for at in places if at is not None))
                sentence = f"{_join(live)} belong in one lesson."
                yield Finding("together", tuple(live), lessons, sentence)
        for group in self.problem.apart:
            live = [k for k in self.figures if k in group and k not in self.past and k in self.at]
            for lesson in range(self.first, self.count):
                here = tuple(key for key in live if self.at[key] <= lesson <= self._end(key))
                if len(here) > 1:
                    sentence = f"{_join(here)} may not share a lesson, but all stand in lesson {lesson + 1}."
                    yield Finding("apart", here, (lesson,), sentence)

    def _lessons(self) -> Iterator[Finding]:
        load = review_minutes_by_lesson(self.figures, self.reviews)
        new = dict.fromkeys(range(self.count), 0)
        for key, at in self.at.items():
            if self._finishing(key):
                load[at] = load.get(at, 0) + self.problem.unfinished[key]
            elif key not in self.past:
                new[at] += 1
                for part, minutes in enumerate(_split(self.figures[key])):
                    load[at + part] = load.get(at + part, 0) + minutes
        for lesson in self.problem.lessons[self.first :]:
            yield from _lesson_findings(lesson, load.get(lesson.index, 0), new[lesson.index])


def _lesson_findings(lesson: LessonSlot, minutes: int, new: int) -> Iterator[Finding]:
    at, name = lesson.index, f"Lesson {lesson.index + 1}"
    if minutes > lesson.minutes:
        sentence = f"{name} has room for {lesson.minutes} minutes, but {minutes} are planned."
        yield Finding("room", (), (at,), sentence)
    if minutes < lesson.min_minutes:
        sentence = (
            f"{name} is to be filled with {lesson.min_minutes} minutes, but only {minutes} are planned."
        )
        yield Finding("least_minutes", (), (at,), sentence)
    if new > lesson.max_new:
        takes = f"at most {lesson.max_new} new" if lesson.max_new else "nothing new"
        sentence = f"{name} takes {takes}, but {new} {'is' if new == 1 else 'are'} planned."
        yield Finding("most", (), (at,), sentence)
    if new < lesson.min_new:
        sentence = f"{name} is to bring at least {lesson.min_new} new, but only {new} are planned."
        yield Finding("least", (), (at,), sentence)


def _split(figure: FigureToTeach) -> list[int]:
    """Minutes of each part, dealt out one by one as cards are."""
    minutes = [0] * max(figure.parts, 1)
    for minute in range(figure.minutes):
        minutes[minute % len(minutes)] += 1
    return minutes


def _join(keys: Sequence[str]) -> str:
    names = [str(key) for key in keys]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
