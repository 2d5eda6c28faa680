"""Where no row of taught figures mends a broken join: what would have to be taught, or which hold changed.

Only the fewest are named: a set of figures is not proposed where a part of it would do.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from curriculum.rules.links import LinkSearch, find_link
from curriculum.rules.stance import Floor, Passage, Stance


@dataclass(frozen=True, slots=True)
class FiguresToTeach:
    """Were these figures taught, this row would mend the join. figures: keys, in the order of the row."""

    figures: tuple[str, ...]
    row: tuple[Passage, ...]


@dataclass(frozen=True, slots=True)
class ChangeToAllow:
    """Could this hold turn into that one between two figures, this row of taught figures would mend the join;
    () where it would join by itself."""

    hold: str
    into: str
    row: tuple[Passage, ...]


@dataclass(frozen=True, slots=True)
class MissingLink:
    """Ways out of a join that nothing taught mends, best first. Both are empty where nothing would help."""

    figures: tuple[FiguresToTeach, ...]
    changes: tuple[ChangeToAllow, ...]


def missing_for_link(
    from_stance: Stance,
    to_stance: Stance,
    all_passages: Sequence[Passage],
    *,
    floor: Floor,
    taught: Collection[str],
    max_figures: int = 3,
    give: int = 0,
    count: int = 3,
) -> MissingLink:
    """What is missing between two stances: at most `count` proposals of each kind.

    all_passages: every passage of the dance, taught or not. Figures: fewest to be taught first, then as links
    are ordered. Changes of hold: one each, in the order of the links they make. The other values are those of
    `find_link`. Where the stances join, or a row of taught figures exists, nothing is missing and both kinds
    are empty.
    """
    if (
        find_link(
            from_stance,
            to_stance,
            all_passages,
            floor=floor,
            taught=taught,
            max_figures=max_figures,
            give=give,
        )
        is not None
    ):
        return MissingLink((), ())
    distinct = tuple(dict.fromkeys(all_passages))
    search = LinkSearch(distinct, floor, to_stance, max_figures, taught=taught, turns=1)
    found: list[FiguresToTeach] = []
    for row in search.rows(from_stance, give):
        if len(found) >= count:
            break
        new = tuple(dict.fromkeys(passage.figure for passage in row if passage.figure not in taught))
        if not any(set(other.figures) <= set(new) for other in found):
            found.append(FiguresToTeach(new, row))
    known = tuple(passage for passage in distinct if passage.figure in taught)
    changes = []
    for hold, into in _changes(from_stance, to_stance, known, floor):
        wider = Floor({**floor.relaxes, hold: {*floor.relaxes.get(hold, ()), into}})
        link = find_link(
            from_stance, to_stance, known, floor=wider, taught=taught, max_figures=max_figures, give=give
        )
        if link is not None:
            changes.append(ChangeToAllow(hold, into, link))
    return MissingLink(tuple(found), tuple(sorted(changes, key=_order)[:count]))


def _changes(
    start: Stance, goal: Stance, known: Sequence[Passage], floor: Floor
) -> Iterator[tuple[str, str]]:
    """Changes that the floor does not allow and that could matter: from a hold somebody is left in."""
    left = {start.hold, *(passage.exit.hold for passage in known)}
    wanted = {goal.hold, *(passage.entry.hold for passage in known)}
    for hold, into in product(sorted(filter(None, left)), sorted(filter(None, wanted))):
        if hold != into and not floor.frees(hold, into):
            yield hold, into


def _order(change: ChangeToAllow) -> tuple[object, ...]:
    beats = sum(passage.beats for passage in change.row)
    keys = tuple(passage.figure for passage in change.row)
    return (beats, len(keys), keys, change.hold, change.into)
