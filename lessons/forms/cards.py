"""The form of a figure's card: where it stands in the draft, and what is asked of it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import QueryDict

from lessons.actions.plans import DemandsOnFigure
from lessons.actions.sets import APART, TOGETHER, company_of
from lessons.models import LessonSession, PlanFigure
from lessons.problems.wording import spoken_list
from lessons.rules.importance import importance_choices
from school.plain_forms import PlainWords
from school.templatetags.words import day

# No lesson is chosen.
NONE = "none"
DEMANDS = frozenset({"pinned", "required", "importance", "parts", "earliest", "latest", "barred"})


@dataclass(frozen=True)
class Change:
    """A field that differs, in words."""

    label: str
    before: str
    now: str


@dataclass(frozen=True)
class CardLessons:
    """The course's lessons as a card offers them: `numbered` those that take place, from 1; `coming` of them
    still to come."""

    numbered: tuple[tuple[int, LessonSession], ...]
    first_to_come: int

    @property
    def coming(self) -> tuple[tuple[int, LessonSession], ...]:
        return self.numbered[self.first_to_come :]

    def by_key(self) -> dict[str, LessonSession]:
        return {str(lesson.pk): lesson for _, lesson in self.numbered}


def _put(data: QueryDict, name: str, value: Any, *, hidden: bool = False) -> None:
    """Write a value as a browser would send it: an unticked box is not sent, a hidden one says False."""
    if isinstance(value, list):
        data.setlist(name, value)
    elif value is False and not hidden:
        data.pop(name, None)
    else:
        data[name] = str(value)


def lesson_choices(lessons: Iterable[tuple[int, LessonSession]]) -> list[tuple[str, str]]:
    return [(str(lesson.pk), f"{number} · {day(lesson.date)}") for number, lesson in lessons]


class FigureCardForm(PlainWords, forms.Form):
    """What the plan does with one figure, and what is asked of it."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1)
    lesson = forms.ChoiceField(label="New in")
    pinned = forms.BooleanField(label="keep in this lesson", required=False)
    again_in = forms.MultipleChoiceField(
        label="Again in", required=False, widget=forms.CheckboxSelectMultiple
    )
    required = forms.BooleanField(label="must be taught this term", required=False)
    importance = forms.TypedChoiceField(
        label="Matters", coerce=int, help_text="Where not all fits, what matters least is left out first."
    )
    parts = forms.IntegerField(
        label="Parts", min_value=1, max_value=10, help_text="Lessons in a row it is spread over."
    )
    earliest = forms.ChoiceField(label="Not before")
    latest = forms.ChoiceField(label="Begun by")
    barred = forms.MultipleChoiceField(
        label="Not in these lessons", required=False, widget=forms.CheckboxSelectMultiple
    )
    together = forms.MultipleChoiceField(
        label="New on one evening with", required=False, widget=forms.CheckboxSelectMultiple
    )
    apart = forms.MultipleChoiceField(
        label="Never on one evening with", required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(
        self,
        *args: Any,
        row: PlanFigure,
        lessons: CardLessons,
        others: Sequence[PlanFigure] = (),
        **kwargs: Any,
    ) -> None:
        """`row` comes with its sets and their figures; `others`: the plan's other rows, in order."""
        self.row, self.lessons = row, lessons
        self.others = {str(other.pk): other for other in others}
        self._by_key = lessons.by_key()
        kwargs.setdefault("initial", self._as_it_stands())
        super().__init__(*args, **kwargs)
        self._keep_empty_initials()
        # The form brings along what the reader found, so that it is known which fields they touched.
        for name in self.fields.keys() - {"version"}:
            self.fields[name].show_hidden_initial = True
        self.fields["importance"].choices = importance_choices(row.importance)
        coming = lesson_choices(lessons.coming)
        self.fields["lesson"].choices = [(NONE, "not in this plan"), *coming]
        for name in ("earliest", "latest"):
            self.fields[name].choices = [
                (NONE, "no matter"),
                *coming,
                *self._kept(getattr(row, f"{name}_id")),
            ]
        self.fields["again_in"].choices = self.fields["barred"].choices = [
            (str(lesson.pk), str(number)) for number, lesson in lessons.coming
        ]
        names = [(key, other.figure.name) for key, other in self.others.items()]
        self.fields["together"].choices = self.fields["apart"].choices = names

    def _keep_empty_initials(self) -> None:
        """Lists in which nothing was ticked when the card was opened are not sent at all. Unless that is
        said, a card shown again takes what was typed since for what the reader found."""
        if not self.is_bound:
            return
        self.data = self.data.copy()
        for name in ("again_in", "barred", "together", "apart"):
            if f"initial-{name}" not in self.data:
                self.data.setlist(f"initial-{name}", [])

    def _kept(self, key: int | None) -> list[tuple[str, str]]:
        """A lesson that has been, or does not take place, and is still asked for."""
        coming = {lesson.pk for _, lesson in self.lessons.coming}
        if key is None or key in coming:
            return []
        lesson = self._by_key.get(str(key))
        return [(str(key), f"{day(lesson.date)} (has been)" if lesson else "a lesson that fell out")]

    def _as_it_stands(self) -> dict[str, Any]:
        row = self.row
        coming = {lesson.pk for _, lesson in self.lessons.coming}
        first = next((part.lesson_id for part in row.introductions.all() if part.part == 0), None)
        return {
            "version": row.plan.version,
            "lesson": str(first) if first in coming else NONE,
            "pinned": row.pinned_id is not None and row.pinned_id == first,
            "again_in": [str(review.lesson_id) for review in row.reviews.all() if review.lesson_id in coming],
            "required": row.required,
            "importance": row.importance,
            "parts": row.parts,
            "earliest": str(row.earliest_id or NONE),
            "latest": str(row.latest_id or NONE),
            "barred": [str(bar.lesson_id) for bar in row.bars.all() if bar.lesson_id in coming],
            **{kind: sorted(map(str, company_of(row, kind))) for kind in (TOGETHER, APART)},
        }

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("pinned") and cleaned.get("lesson") == NONE:
            self.add_error("pinned", "Choose the lesson it is kept in.")
        return cleaned

    def demands(self) -> DemandsOnFigure | None:
        """What is asked of the figure, as `set_demands` takes it; None where nothing of it was changed."""
        cleaned = self.cleaned_data
        is_kept = cleaned["pinned"] or self.row.pinned_id is not None
        if not DEMANDS.intersection(self.changed_data) and not (self.is_moved and is_kept):
            return None
        return DemandsOnFigure(
            pinned=self._by_key.get(cleaned["lesson"]) if cleaned["pinned"] else None,
            earliest=self._asked("earliest"),
            latest=self._asked("latest"),
            required=cleaned["required"],
            importance=cleaned["importance"],
            parts=cleaned["parts"],
            barred=[*self._bars_kept(), *(self._by_key[key] for key in cleaned["barred"])],
        )

    def _asked(self, name: str) -> LessonSession | None:
        key = self.cleaned_data[name]
        if key == str(getattr(self.row, f"{name}_id")):
            return getattr(self.row, name)
        return self._by_key.get(key)

    def _bars_kept(self) -> list[LessonSession]:
        """Bars on lessons that have been stay as they are: nobody was asked about them."""
        coming = {lesson.pk for _, lesson in self.lessons.coming}
        return [
            self._by_key[str(bar.lesson_id)]
            for bar in self.row.bars.all()
            if bar.lesson_id not in coming and str(bar.lesson_id) in self._by_key
        ]

    @property
    def is_moved(self) -> bool:
        return "lesson" in self.changed_data

    @property
    def move_to(self) -> LessonSession | None:
        return self._by_key.get(self.cleaned_data["lesson"])

    @property
    def again_lessons(self) -> list[LessonSession] | None:
        """Where it comes again; None where the reader has not touched that."""
        if "again_in" not in self.changed_data:
            return None
        return [self._by_key[key] for key in self.cleaned_data["again_in"]]

    def company(self, kind: str) -> list[PlanFigure] | None:
        """Whom it goes together with, or keeps apart from; None where the reader has not touched that."""
        if kind not in self.changed_data:
            return None
        return [self.others[key] for key in self.cleaned_data[kind]]

    def numbers(self, keys: Iterable[str]) -> str:
        """Lessons to come as people count them: "lessons 6 and 8"."""
        chosen = [str(number) for number, lesson in self.lessons.coming if str(lesson.pk) in set(keys)]
        return f"lesson{'s' if len(chosen) > 1 else ''} {spoken_list(chosen)}" if chosen else ""

    def index_of(self, key: str) -> int | None:
        """The place of a lesson to come among those of the course, from 0."""
        found = (number - 1 for number, lesson in self.lessons.coming if str(lesson.pk) == key)
        return next(found, None)

    @property
    def is_beside(self) -> bool:
        """Whether others changed the plan since the card was opened, but not this figure."""
        return not self.is_touched and self.cleaned_data["version"] < self.initial["version"]

    @property
    def is_touched(self) -> bool:
        """Whether somebody else changed this figure since the reader opened its card."""
        names = self.fields.keys() - {"version"}
        return any(self._known(name) != self._plain(name, self.initial[name]) for name in names)

    def taken_up(self, version: int) -> tuple[QueryDict, list[Change], list[Change]]:
        """The data of this form on the plan as it stands now, at `version`: what the reader did not touch
        follows the plan; what they typed stays. With it, what somebody else changed, and what is still the
        reader's own and differs (`before`: as it stands; `now`: as they typed it)."""
        data, others, own = self.data.copy(), [], []
        for name in self.fields:
            if name == "version":
                continue
            stands, known = self.initial[name], self._known(name)
            if name in self.changed_data:
                typed = self._plain(name, self.cleaned_data.get(name))
                if typed != self._plain(name, stands):
                    own.append(Change(self[name].label, self._say(name, stands), self._say(name, typed)))
            else:
                _put(data, name, stands)
            if known != self._plain(name, stands):
                others.append(Change(self[name].label, self._say(name, known), self._say(name, stands)))
            _put(data, f"initial-{name}", stands, hidden=True)
        data["version"] = str(version)
        return data, others, own

    def _known(self, name: str) -> Any:
        """The field as the reader found it when they opened the card."""
        field = self.fields[name]
        shown = field.hidden_widget().value_from_datadict(self.data, self.files, f"initial-{name}")
        return self._plain(name, shown)

    def _plain(self, name: str, value: Any) -> Any:
        """One spelling for a value as typed, hidden or stored."""
        if isinstance(value, list):
            return sorted(map(str, value))
        if isinstance(self.fields[name], forms.BooleanField):
            return str(value) in {"True", "on"}
        return str(value)

    def _say(self, name: str, value: Any) -> str:
        choices = {str(key): words for key, words in getattr(self.fields[name], "choices", ())}
        if isinstance(self.fields[name], forms.BooleanField):
            return "yes" if value else "no"
        if isinstance(value, list):
            return ", ".join(choices.get(one, one) for one in value) or "none"
        return choices.get(str(value), str(value))
