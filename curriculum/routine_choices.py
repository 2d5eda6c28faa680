"""What can stand at a place of a routine: every figure of its dance, grouped, each with how it joins."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from curriculum.routine_bench import Bench
from curriculum.rules.chain import CORNER, Passage
from curriculum.rules.following import Candidate, Standing, what_can_follow
from curriculum.strip import JOIN_MARKS


@dataclass(frozen=True)
class Choice:
    """A figure that could stand at the place. key: of its passage; mark: the shape of its less easy join."""

    key: int
    figure: int
    name: str
    way: str
    beats: Fraction
    mark: str
    reason: str
    standing: Standing
    when: str


@dataclass(frozen=True)
class ChoiceGroup:
    standing: Standing
    title: str
    choices: tuple[Choice, ...]


@dataclass(frozen=True)
class Choices:
    """fitting: those that fit, by whether they are taught. begun: those that can be begun here but do not
    lead into what follows; others: those that cannot be begun; each with the reason."""

    fitting: tuple[ChoiceGroup, ...]
    begun: tuple[ChoiceGroup, ...]
    others: tuple[ChoiceGroup, ...]

    @property
    def folded(self) -> tuple[tuple[str, int, tuple[ChoiceGroup, ...]], ...]:
        """What does not fit, as (what is said of it, how many, which)."""
        said = (
            ("Begins here, but doesn’t lead into what follows", self.begun),
            ("Doesn’t connect here", self.others),
        )
        return tuple((name, sum(len(g.choices) for g in groups), groups) for name, groups in said if groups)


def choices_at(bench: Bench, gap: int, *, behind: int) -> Choices:
    """What can stand in the gap, where what follows begins at `behind`. No query."""
    items, dances, moment = bench.items, bench.dances, bench.page.moment
    before = bench.danced_before(gap)
    after = next((place for place in range(behind, len(items)) if items[place] is not CORNER), None)
    follower = None if after is None else items[after]
    entry = follower.entry if isinstance(follower, Passage) else None
    names = (
        before.figure if before else "",
        follower.figure if isinstance(follower, Passage) else "",
    )
    found = what_can_follow(
        bench.stances[gap],
        entry,
        dances.passages,
        floor=dances.floor,
        taught=moment.known,
        planned=moment.planned,
        give=before.give if before else 0,
        corners_after=0 if after is None else after - behind,
        words=dances.words,
        neighbours=names,
    )
    return Choices(
        fitting=_grouped(bench, (one for one in found if one.fits)),
        begun=_grouped(bench, (one for one in found if one.begins and not one.fits)),
        others=_grouped(bench, (one for one in found if not one.begins)),
    )


def _grouped(bench: Bench, found: Iterable[Candidate]) -> tuple[ChoiceGroup, ...]:
    rows: dict[Standing, list[Choice]] = {"taught": [], "planned": [], "elsewhere": []}
    for candidate in found:
        rows[candidate.standing].append(_choice(bench, candidate))
    page = bench.page
    in_course = bool(page.moment.course)
    titles: dict[Standing, str] = {
        "taught": "Taught" if in_course else f"Up to {page.routine.level.name}",
        "planned": "To be taught before it is danced",
        "elsewhere": "Not in this course" if in_course else "On higher levels",
    }
    return tuple(
        ChoiceGroup(standing, titles[standing], tuple(choices))
        for standing, choices in rows.items()
        if choices
    )


def _choice(bench: Bench, candidate: Candidate) -> Choice:
    row = bench.dances.rows[candidate.passage]
    return Choice(
        key=row.pk,
        figure=row.figure_id,
        name=row.figure.name,
        way=row.label,
        beats=row.beats,
        mark=JOIN_MARKS[candidate.status],
        reason=candidate.reason,
        standing=candidate.standing,
        when=bench.page.moment.when.get(row.figure.name, "") if candidate.standing == "planned" else "",
    )
