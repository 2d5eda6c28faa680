"""What a routine's builder shows: the row, the chosen place in it, what can stand there, what mends it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from curriculum import problems
from curriculum.models import Passage as PassageRow
from curriculum.models import Routine, RoutineVersion
from curriculum.routine_history import changes_between, item_words, undone_by
from curriculum.routine_report import RoutinePage
from curriculum.rules.chain import (
    CORNER,
    UNKNOWN,
    Floor,
    Passage,
    RoutineItem,
    Stance,
    find_links,
    stances_along,
)
from curriculum.rules.following import Candidate, Standing, what_can_follow
from curriculum.rules.missing_link import MissingLink, missing_for_link
from curriculum.rules.wording import Words
from curriculum.stance_words import stance_words
from curriculum.strip import JOIN_MARKS, StripBlock, StripJoin

MOST_BRIDGES = 3


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


@dataclass(frozen=True)
class Bridge:
    """Figures that mend the join before the chosen one. keys: as a form sends them."""

    keys: str
    names: tuple[str, ...]
    beats: Fraction


@dataclass(frozen=True)
class Place:
    """The chosen place. at: from 1, 0 for the start; block: its figure, None for the start or a corner; join:
    how that is come to, the first one from the routine below; stance: how the couple stands after it, in
    words."""

    at: int
    block: StripBlock | None
    join: StripJoin | None
    is_corner: bool
    is_last: bool
    stance: str
    replaces: bool
    choices: Choices
    bridges: tuple[Bridge, ...]
    missing: tuple[str, ...]

    @property
    def name(self) -> str:
        if self.block is not None:
            return self.block.name
        return "the corner" if self.is_corner else "the start"

    @property
    def is_broken(self) -> bool:
        return self.join is not None and self.join.mark == "broken"


def _join_into(page: RoutinePage, block: StripBlock | None) -> StripJoin | None:
    if block is not None and block.number == 1:
        return page.below.join if page.below else None
    return block.join if block else None


def _danced_before(page: RoutinePage, items: Sequence[RoutineItem]) -> Passage | None:
    """What was danced last before the end of these items; at the start what the routine below ends with."""
    danced = (item for item in reversed(items) if isinstance(item, Passage))
    return next(danced, page.below.last if page.below else None)


@dataclass(frozen=True)
class Undo:
    """row: the version undo brings back; sentences: what it takes back."""

    row: RoutineVersion
    sentences: tuple[str, ...]


class Dances:
    """Every way through every figure of a dance, as rows and for the rules. Three queries."""

    def __init__(self, routine: Routine) -> None:
        dance = routine.level.dance
        self.floor: Floor = problems.floor_of(dance)
        self.words: Words = problems.words_of(dance)
        rows = PassageRow.objects.filter(figure__dance=dance).select_related(
            "figure", "entry_hold", "exit_hold"
        )
        ordered = rows.order_by("figure__level__rank", "figure__order", "figure", "position")
        self.rows: dict[Passage, PassageRow] = {}
        for row in ordered:
            # Two ways that are the same to dance are one choice.
            self.rows.setdefault(problems.passage_of(row), row)
        self.passages: tuple[Passage, ...] = tuple(self.rows)

    @property
    def names(self) -> dict[int, str]:
        """Passage (pk) -> the figure and the way, as they are said."""
        return {row.pk: item_words(row.figure.name, row.label) for row in self.rows.values()}


def place_of(page: RoutinePage, dances: Dances, at: int | None, *, replaces: bool = False) -> Place:
    """The place `at`, the end of the row unless it is said; with what can stand there. No query."""
    items = [CORNER if row is None else problems.passage_of(row) for row in page.rows]
    at = len(items) if at is None else min(max(at, 0), len(items))
    replaces = replaces and at > 0 and items[at - 1] is not CORNER
    block = next((block for block in page.strip.blocks if block.place == at), None)
    stances = stances_along(items, start=page.below.stance if page.below else UNKNOWN)
    slot = dances.words.slot
    join = _join_into(page, block)
    broken = join is not None and join.mark == "broken"
    bridges, missing = _mends(page, dances, items, stances, at) if broken else ((), ())
    return Place(
        at=at,
        block=block,
        join=join,
        is_corner=at > 0 and block is None,
        is_last=at == len(items),
        stance=stance_words(stances[at], slot=slot, is_exit=True) if stances[at] != UNKNOWN else "",
        replaces=replaces,
        choices=_choices(page, dances, items, stances, at - 1 if replaces else at, at),
        bridges=bridges,
        missing=missing,
    )


def undo_of(routine: Routine) -> Undo | None:
    """None where there is nothing to undo. At most three queries."""
    back = undone_by(routine)
    stands = back and routine.versions.filter(version=routine.version).first()
    if back is None or not stands:
        return None
    return Undo(back, changes_between(back.snapshot, stands.snapshot) or ("the last change.",))


def _choices(
    page: RoutinePage,
    dances: Dances,
    items: Sequence[RoutineItem],
    stances: Sequence[Stance],
    gap: int,
    behind: int,
) -> Choices:
    """What can stand in the gap, where what follows begins at `behind`."""
    before = _danced_before(page, items[:gap])
    after = next((place for place in range(behind, len(items)) if items[place] is not CORNER), None)
    follower = None if after is None else items[after]
    entry = follower.entry if isinstance(follower, Passage) else None
    names = (
        before.figure if before else "",
        follower.figure if isinstance(follower, Passage) else "",
    )
    found = what_can_follow(
        stances[gap],
        entry,
        dances.passages,
        floor=dances.floor,
        taught=page.moment.known,
        planned=page.moment.planned,
        give=before.give if before else 0,
        corners_after=0 if after is None else after - behind,
        words=dances.words,
        neighbours=names,
    )
    return Choices(
        fitting=_grouped(page, dances, (one for one in found if one.fits)),
        begun=_grouped(page, dances, (one for one in found if one.begins and not one.fits)),
        others=_grouped(page, dances, (one for one in found if not one.begins)),
    )


def _grouped(page: RoutinePage, dances: Dances, found: Iterable[Candidate]) -> tuple[ChoiceGroup, ...]:
    rows: dict[Standing, list[Choice]] = {"taught": [], "planned": [], "elsewhere": []}
    for candidate in found:
        rows[candidate.standing].append(_choice(page, dances, candidate))
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


def _choice(page: RoutinePage, dances: Dances, candidate: Candidate) -> Choice:
    row = dances.rows[candidate.passage]
    return Choice(
        key=row.pk,
        figure=row.figure_id,
        name=row.figure.name,
        way=row.label,
        beats=row.beats,
        mark=JOIN_MARKS[candidate.status],
        reason=candidate.reason,
        standing=candidate.standing,
        when=page.moment.when.get(row.figure.name, "") if candidate.standing == "planned" else "",
    )


def _mends(
    page: RoutinePage,
    dances: Dances,
    items: Sequence[RoutineItem],
    stances: Sequence[Stance],
    at: int,
) -> tuple[tuple[Bridge, ...], tuple[str, ...]]:
    """Up to three rows of known figures that mend the join into the item `at`; where there is none, what is
    missing for one, in sentences."""
    chosen = items[at - 1]
    before = _danced_before(page, items[: at - 1])
    if not isinstance(chosen, Passage) or before is None:
        return (), ()
    known, give = page.moment.known, before.give
    rows = find_links(
        stances[at - 1],
        chosen.entry,
        dances.passages,
        floor=dances.floor,
        taught=known,
        give=give,
        count=MOST_BRIDGES,
    )
    if rows:
        return tuple(_bridge(dances, row) for row in rows), ()
    missing = missing_for_link(
        stances[at - 1], chosen.entry, dances.passages, floor=dances.floor, taught=known, give=give
    )
    return (), tuple(_missing_words(missing, dances.words))


def _bridge(dances: Dances, row: Sequence[Passage]) -> Bridge:
    found = [dances.rows[passage] for passage in row]
    return Bridge(
        keys=",".join(str(one.pk) for one in found),
        names=tuple(item_words(one.figure.name, one.label) for one in found),
        beats=sum((one.beats for one in found), Fraction(0)),
    )


def _missing_words(missing: MissingLink, words: Words) -> Iterable[str]:
    for teach in missing.figures:
        yield f"If {_list(teach.figures)} were taught, {_row_words(teach.row)} would connect it."
    for change in missing.changes:
        allowed = f"If {words.hold(change.hold)} could turn into {words.hold(change.into)} between figures"
        yield f"{allowed}, {_row_words(change.row) or 'it'} would connect{' it' if change.row else ''}."


def _row_words(row: Sequence[Passage]) -> str:
    return ", then ".join(passage.figure for passage in row)


def _list(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
