"""What is said of days without class, before and after they are closed or taken back."""

from __future__ import annotations

from dataclasses import dataclass, replace

from lessons.actions.calendar import FallsOut, closure_consequences
from lessons.actions.reopening import ComesBack, Reopened, what_comes_back
from lessons.problems.wording import spoken_day
from school.clock import today
from school.models import Closure, Term


@dataclass(frozen=True)
class Follows:
    """What follows from days without class: `notes` to read, lessons that fall out and that come back."""

    days: str
    notes: tuple[str, ...]
    falls_out: tuple[FallsOut, ...]
    back: tuple[ComesBack, ...] = ()

    @property
    def seen(self) -> tuple[str, ...]:
        """What a director has seen who has seen this."""
        falls = [str(one.lesson.pk) for one in self.falls_out]
        back = [f"{one.key} {' '.join(one.hindered_by)}" for one in self.back]
        return (self.days, *self.notes, *falls, *back)

    @property
    def hindered(self) -> tuple[ComesBack, ...]:
        return tuple(one for one in self.back if one.hindered_by)


def of_closing(closure: Closure) -> Follows:
    """`closure`: the days as they will be, not saved. A constant number of queries."""
    falls_out = closure_consequences(closure.first_day, closure.last_day, closure.room)
    days = f"{closure.first_day} {closure.last_day} {closure.room_id}"
    return Follows(days, tuple(_notes(closure)), tuple(falls_out))


def of_reopening(closure: Closure, becomes: Closure | None) -> Follows:
    """Of changing days without class, or of taking them back (`becomes` None)."""
    follows = of_closing(becomes) if becomes else Follows("none", (), ())
    return replace(follows, back=tuple(what_comes_back(closure, becomes)))


def _notes(closure: Closure) -> list[str]:
    """What a director may not have in mind about these days. Two queries."""
    first_day, last_day = closure.first_day, closure.last_day
    said = []
    if not Term.objects.filter(first_day__lte=last_day, last_day__gte=first_day).exists():
        said.append("These days lie outside every term: nothing is laid out on them.")
    if last_day < today():
        said.append("These days are past.")
    others = Closure.objects.filter(first_day__lte=last_day, last_day__gte=first_day).select_related("room")
    for other in others.exclude(pk=closure.pk):
        if other.room is None or other.room == closure.room:
            where = f" in {other.room}" if other.room else ""
            said.append(f"There is no class{where} already {_from_to(other)}: {other.reason}.")
    return said


def said_of_closing(closure: Closure, fallen: int) -> str:
    return f"No class {_from_to(closure)}: {closure.reason}. {_lessons(fallen, 'fall')} out."


def said_of_reopening(done: Reopened, *, removed: bool) -> str:
    first = "These days have class again." if removed else "Saved."
    back = f" {_lessons(len(done.back), 'take')} place after all." if done.back else ""
    fallen = f" {_lessons(len(done.fallen), 'fall')} out." if done.fallen else ""
    return first + back + fallen


def _from_to(closure: Closure) -> str:
    first, last = spoken_day(closure.first_day), spoken_day(closure.last_day)
    return f"on {first}" if closure.first_day == closure.last_day else f"from {first} to {last}"


def _lessons(count: int, verb: str) -> str:
    if count > 1:
        return f"{count} lessons {verb}"
    return f"{'1' if count else 'No'} lesson {verb}s"
