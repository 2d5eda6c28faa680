"""Small dances for the composer, and what it should find in them by trying every row there is."""

from fractions import Fraction

from hypothesis import strategies as st

from curriculum.rules.chain import CORNER, Floor, Passage, Stance, joins, round_the_corner, stance_after

HOLDS = ["closed", "two-hand"]
STANCES = st.builds(
    Stance, st.sampled_from([*HOLDS, None]), st.none() | st.sampled_from("LR"), st.none() | st.integers(0, 2)
)
PASSAGES = st.lists(
    st.builds(
        Passage,
        st.sampled_from("abcde"),
        STANCES,
        STANCES,
        st.sampled_from([1, 2, 3, Fraction(1, 2)]),
        give=st.integers(0, 1),
    ),
    max_size=8,
)
FIGURES = st.frozensets(st.sampled_from("abcd"), max_size=2)


@st.composite
def questions(draw):
    """A small question with everything that may be asked; "e" is never taught."""
    closed_to_open = draw(st.booleans())
    return {
        "passages": draw(PASSAGES),
        "start": draw(STANCES),
        "end": draw(st.none() | STANCES),
        "beats": draw(st.sampled_from([0, 1, 2, 3, 4, Fraction(7, 2)])),
        "floor": Floor({"closed": {"two-hand"}} if closed_to_open else {}),
        "taught": frozenset("abcd"),
        "required": sorted(draw(FIGURES)),
        "avoid": draw(st.frozensets(st.sampled_from("abcd"), max_size=1)),
        "newest": draw(st.frozensets(st.sampled_from("abcde"), max_size=3)),
        "in_a_row": draw(st.dictionaries(st.sampled_from("abcd"), st.integers(0, 3), max_size=2)),
        "corner_every": draw(st.sampled_from([None, None, 1, 2])),
    }


def rows_of(asked):
    """Every routine that meets the question, by trying every row there is."""
    usable = [
        passage
        for passage in dict.fromkeys(asked["passages"])
        if passage.figure in asked["taught"] and passage.figure not in asked["avoid"]
    ]
    every = asked.get("corner_every")

    def longer(row, stance, give, danced):
        if danced == asked["beats"]:
            ends = asked["end"] is None or joins(stance, asked["end"], floor=asked["floor"], give=give)
            if ends and set(asked["required"]) <= {item.figure for item in row if item is not CORNER}:
                yield tuple(row)
            return
        for passage in usable:
            fits = joins(stance, passage.entry, floor=asked["floor"], give=give)
            if not fits or danced + passage.beats > asked["beats"]:
                continue
            if times_in_a_row([*row, passage]) > asked["in_a_row"].get(passage.figure, 1):
                continue
            after, length = stance_after(stance, passage), danced + passage.beats
            yield from longer([*row, passage], after, passage.give, length)
            if every and length < asked["beats"] and length % every == 0:
                yield from longer([*row, passage, CORNER], round_the_corner(after), passage.give, length)

    yield from longer([], asked["start"], 0, Fraction(0))


def times_in_a_row(row):
    """How often the last figure of the row stands in a row; too often where a corner lies in between."""
    figure, times = row[-1].figure, 0
    for number, item in enumerate(reversed(row)):
        if item is CORNER and number + 1 < len(row) and row[-number - 2].figure == figure:
            return 1_000
        if item is not CORNER and item.figure != figure:
            break
        times += item is not CORNER
    return times


def cost_of(row, newest):
    """Runs beyond a figure's first, summed over the figures; less the newest figures that appear."""
    figures = [item.figure for item in row if item is not CORNER]
    runs = [figure for number, figure in enumerate(figures) if not number or figures[number - 1] != figure]
    return len(runs) - len(set(runs)), -len(set(runs) & set(newest))
