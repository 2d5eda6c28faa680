"""The live page's arithmetic: where the evening stands, what is carried, and fitting the rest again.

Fitting again is held against `lessons.planners.tonight.fit`, which was checked against brute force.
"""

import random

import pytest

from lessons.planners.tonight import Segment, TooShort, fit

pytestmark = pytest.mark.django_db(transaction=True)

MINUTE = 60_000
KINDS = ("arrive", "warm_up", "review", "new", "practice", "close")


@pytest.fixture
def arithmetic(live_server, visit):
    """arithmetic(script, **given) runs the script with the module as `time` and `given` as its own."""
    page = visit(live_server.url).page
    page.goto("/sign-in/")

    def run(script, **given):
        return page.evaluate(
            f"async (given) => {{ const time = await import('/static/lessons/live-time.js');"
            f"const {{ plan }} = given; {script} }}",
            given,
        )

    return run


def segment(minutes, *, least=0, most=60, kind="practice", figure=None, give_way=0):
    return {
        "minutes": minutes,
        "least": least,
        "most": most,
        "kind": kind,
        "figure": figure,
        "giveWay": give_way,
    }


WARM, NEW, AGAIN, PRACTICE = (
    segment(5, least=4, kind="warm_up"),
    segment(20, least=15, kind="new", figure=7, give_way=4),
    segment(5, least=5, kind="review", figure=8, give_way=5),
    segment(10, least=4, figure=None, give_way=7),
)
PLAN = {"starts": 0, "segments": [WARM, NEW, AGAIN, PRACTICE]}


def test_the_clock_leads_until_somebody_touches(arithmetic):
    places = arithmetic(
        "return given.moments.map((minute) => {"
        "  const { phase, at, left } = time.stand(plan, null, minute * 60000);"
        "  return [phase, at, left / 60000]; })",
        plan=PLAN,
        moments=[-3, 0, 4, 5, 27, 39, 40],
    )
    assert places == [
        ["before", 0, 3],
        ["on", 0, 5],
        ["on", 0, 1],
        ["on", 1, 20],
        ["on", 2, 3],
        ["on", 3, 1],
        ["after", 4, 0],
    ]


def test_from_the_first_touch_on_it_waits_and_says_how_far_it_is_over(arithmetic):
    assert arithmetic(
        "const run = time.next(plan, null, 4 * 60000); const stood = time.stand(plan, run, 27 * 60000);"
        "return [run.at, stood.at, stood.left / 60000, stood.follows, time.carried(plan, run, 27 * 60000)]",
        plan=PLAN,
    ) == [1, 1, -3, False, 2]


def test_a_finger_that_comes_just_after_the_clock_moves_nothing_twice(arithmetic):
    assert arithmetic(
        "return [1, 14, 16].map((second) => time.next(plan, null, 5 * 60000 + second * 1000).at)", plan=PLAN
    ) == [1, 1, 2]


@pytest.mark.parametrize(
    ("touches", "carried"),
    [
        ("time.more(plan, null, 6 * 60000, 2)", 2),
        ("time.next(plan, null, 3 * 60000)", -2),
        ("time.skip(plan, null, 6 * 60000)", -19),
        ("time.begin(plan, 7 * 60000)", 7),
        ("time.begin(plan, -4 * 60000)", -4),
        ("time.next(plan, null, 5 * 60000)", 0),
    ],
)
def test_time_over_and_under_the_plan_is_carried(arithmetic, touches, carried):
    assert (
        arithmetic(f"const run = {touches}; return time.carried(plan, run, run.since)", plan=PLAN) == carried
    )


LISTED = (
    "return time.listed(plan, run, given.now * 60000)"
    ".map(({ starts, minutes, skipped }) =>"
    " [starts === null ? null : Math.floor(starts / 60000), minutes, skipped])"
)


@pytest.mark.parametrize(
    ("touches", "now", "rows"),
    [
        ("null", 12, [[0, 5, False], [5, 20, False], [25, 5, False], [30, 10, False]]),
        # Ahead of time: what runs has begun when it was touched, and what is over took what it took.
        (
            "time.next(plan, null, 3 * 60000)",
            4,
            [[0, 3, False], [3, 20, False], [23, 5, False], [28, 10, False]],
        ),
        (
            "time.skip(plan, time.next(plan, null, 3.4 * 60000), 3.8 * 60000)",
            4,
            [[0, 3, False], [3, 0, True], [3, 5, False], [8, 10, False]],
        ),
        # Over its time, it has what it has had, and pushes what comes.
        (
            "time.next(plan, null, 3 * 60000)",
            26,
            [[0, 3, False], [3, 23, False], [26, 5, False], [31, 10, False]],
        ),
        # Left out of what is to come: no minutes, and no hour of its own.
        (
            "({ ...time.begin(plan, 0), minutes: [5, 20, 0, 10] })",
            1,
            [[0, 5, False], [5, 20, False], [None, 0, True], [25, 10, False]],
        ),
        # Begun late, and over.
        (
            "[8, 9, 10, 11].reduce((run, minute) => time.next(plan, run, minute * 60000),"
            " time.begin(plan, 7 * 60000))",
            30,
            [[7, 1, False], [8, 1, False], [9, 1, False], [10, 1, False]],
        ),
    ],
)
def test_the_list_says_when_each_really_began_and_what_it_took(arithmetic, touches, now, rows):
    assert arithmetic(f"const run = {touches}; {LISTED}", plan=PLAN, now=now) == rows


@pytest.mark.parametrize("touched", [2.1, 2.5, 2.9, 7.4])
def test_hours_minutes_and_what_is_carried_add_up_whatever_the_second(arithmetic, touched):
    carried, ends, (at, following) = arithmetic(
        "const now = given.touched * 60000; const run = time.next(plan, null, now);"
        "const late = time.more(plan, run, now, 1);"
        "const after = { ...late, minutes: time.refit(plan, late, now).minutes };"
        "const rows = time.listed(plan, after, now);"
        "const next = Math.floor(time.beginnings(plan, late, now).get(late.at + 1) / 60000);"
        "const last = rows.at(-1);"
        "const ends = Math.floor(last.starts / 60000) + last.minutes;"
        "return [time.carried(plan, late, now), ends, [late.at, next]]",
        plan=PLAN,
        touched=touched,
    )
    assert carried == following - sum(one["minutes"] for one in PLAN["segments"][: at + 1])
    assert carried != 0
    assert ends == 40


@pytest.mark.parametrize("begun", [-16, -452, 40, 95])
def test_a_lesson_held_at_another_hour_keeps_its_length(arithmetic, begun):
    carried, refit, again = arithmetic(
        "const now = (given.begun + 0.5) * 60000; const run = time.begin(plan, now);"
        "const late = time.more(plan, run, now, 3);"
        "const again = { ...late, minutes: time.refit(plan, late, now).minutes };"
        "return [time.carried(plan, run, now), time.refit(plan, run, now), again.minutes]",
        plan=PLAN,
        begun=begun,
    )
    assert (carried, refit) == (0, None)
    assert sum(again) == 40


def test_fitting_again_ends_the_lesson_when_it_should(arithmetic):
    minutes = arithmetic(
        "const run = time.begin(plan, 8 * 60000); return time.refit(plan, run, 8 * 60000).minutes", plan=PLAN
    )
    assert (minutes[0], sum(minutes)) == (5, 40 - 8)
    assert minutes == [5, 16, 5, 6]


def test_what_cannot_be_met_falls_out_and_is_named(arithmetic):
    answer = arithmetic(
        "const run = time.begin(plan, 18 * 60000); return time.refit(plan, run, 18 * 60000)", plan=PLAN
    )
    assert answer == {"minutes": [5, 17, 0, 0], "leftOut": [2, 3]}


def test_a_lesson_run_out_of_time_leaves_out_the_rest(arithmetic):
    answer = arithmetic(
        "const run = time.begin(plan, 0); return time.refit(plan, run, 55 * 60000)", plan=PLAN
    )
    assert answer["leftOut"] == [1, 2, 3]


def test_nothing_is_offered_where_nothing_is_carried_or_nothing_is_left(arithmetic):
    assert arithmetic("return time.refit(plan, time.begin(plan, 0), 0)", plan=PLAN) is None
    last = "let run = time.begin(plan, 0); for (let i = 0; i < 3; i += 1) run = time.next(plan, run, 0);"
    assert arithmetic(last + "return time.refit(plan, run, 0)", plan=PLAN) is None


def some_evening(dice):
    """Segments with their planned minutes for ideals, and a room for them."""
    segments = []
    for place in range(dice.randint(1, 7)):
        least = dice.randint(0, 6)
        ideal = least + dice.randint(0, 8)
        most = ideal + dice.randint(0, 8)
        segments.append(Segment(dice.choice(KINDS), str(place), least, ideal, most, None, dice.randint(0, 3)))
    return segments, dice.randint(0, sum(one.most for one in segments))


def expected(segments, room):
    """As the run-sheet is made: what does not fit is left out, the rest fitted."""
    try:
        timed = fit(segments, room)
    except TooShort as short:
        kept = [one for one in segments if one not in short.segments]
        timed = fit(kept, min(room, sum(one.most for one in kept)))
    minutes = {one.segment.title: one.minutes for one in timed}
    return [minutes.get(one.title, 0) for one in segments]


def test_the_rest_is_fitted_as_the_run_sheet_was(arithmetic):
    dice = random.Random(4)
    evenings = [some_evening(dice) for _ in range(400)]
    # Where even the longest of what stays leaves room, the page stretches one on purpose.
    evenings = [(segments, room) for segments, room in evenings if sum(expected(segments, room)) == room]
    assert len(evenings) > 250
    fitted = arithmetic(
        "return given.evenings.map(([segments, room]) => time.fit(segments, room))",
        plan=None,
        evenings=[
            [
                [
                    segment(one.ideal, least=one.least, most=one.most, kind=one.kind, give_way=one.give_way)
                    for one in segments
                ],
                room,
            ]
            for segments, room in evenings
        ],
    )
    assert fitted == [expected(segments, room) for segments, room in evenings]


BECAME = "return [...time.became(plan, run, given.now * 60000)]"


@pytest.mark.parametrize(
    ("touches", "now", "seen"),
    [
        ("null", 60, []),
        ("time.next(plan, null, 4 * 60000)", 10, []),
        ("time.skip(plan, null, 6 * 60000)", 10, [[7, "not_reached"]]),
        ("time.skip(plan, null, 15 * 60000)", 16, [[7, "cut"]]),
        # Touched once and never again: what came after was not reached.
        ("time.next(plan, null, 4 * 60000)", 41, [[8, "not_reached"]]),
        ("({ ...time.begin(plan, 0), minutes: [5, 20, 0, 10] })", 10, [[8, "not_reached"]]),
    ],
)
def test_the_record_is_filled_in_from_what_was_touched(arithmetic, touches, now, seen):
    assert arithmetic(f"const run = {touches}; {BECAME}", plan=PLAN, now=now) == seen
