"""Published tempi: beats, bars and seconds agree, and the ranges that come with the app are the printed ones.

Sources by row: the tournament rules (TSO) of the German DanceSport federation, dance table, 05/2023 (the
tango's metre of 2/4 after IDTA Associate theory); NDCA tempi; for bachata the Caribbean competition rules of
2017; for salsa the Swiss competition rules, which say beats a minute. All read in the named text.
"""

from fractions import Fraction

import pytest

from curriculum.rules.music_fit import fit_into
from curriculum.rules.tempo import beats_per_minute, seconds_of
from curriculum.standard import DANCES

# dance, beats in a bar, bars a minute from, to, source
TEMPI = [
    ("slow waltz", 3, 28, 30, "TSO 05/2023"),
    ("tango", 2, 31, 33, "TSO 05/2023"),
    ("Viennese waltz", 3, 58, 60, "TSO 05/2023"),
    ("slow foxtrot", 4, 28, 30, "TSO 05/2023"),
    ("quickstep", 4, 50, 52, "TSO 05/2023"),
    ("samba", 2, 50, 52, "TSO 05/2023"),
    ("cha-cha", 4, 30, 32, "TSO 05/2023"),
    ("rumba", 4, 25, 27, "TSO 05/2023"),
    ("paso doble", 2, 60, 62, "TSO 05/2023"),
    ("jive", 4, 42, 44, "TSO 05/2023"),
    ("West Coast swing", 4, 28, 32, "NDCA tempi"),
    ("East Coast swing", 4, 34, 36, "NDCA tempi"),
    ("bolero", 4, 24, 26, "NDCA tempi"),
    ("hustle", 4, 28, 30, "NDCA tempi"),
    ("merengue", 2, 29, 32, "NDCA tempi"),
    ("bachata", 4, 28, 32, "2017 Caribbean competition rules"),
    ("salsa", 4, 48, 55, "Swiss competition rules"),
]


@pytest.mark.parametrize(("dance", "beats", "low", "high", "source"), TEMPI)
def test_the_range_that_comes_with_the_app_is_the_published_one(dance, beats, low, high, source):
    (shipped,) = [row for row in DANCES if row.name == dance]
    assert shipped.beats_per_bar == beats, source
    assert (shipped.slowest_bars_per_minute, shipped.quickest_bars_per_minute) == (low, high), source
    assert "TSO" not in source or "TSO" in shipped.tempo_source


def test_no_dance_comes_with_a_range_that_stands_in_no_row():
    assert {row.name for row in DANCES} == {row[0] for row in TEMPI}


def test_thirty_two_bars_of_slow_waltz_at_28_to_30_bars_a_minute():
    """They take 64.0 to 68.6 seconds."""
    assert seconds_of(32, 30) == 64
    assert round(seconds_of(32, 28), 1) == Fraction("68.6")


@pytest.mark.parametrize(("dance", "beats", "low", "high", "source"), TEMPI)
def test_a_minute_of_bars_lasts_a_minute_and_has_that_many_beats(dance, beats, low, high, source):
    for bars in (low, high):
        assert seconds_of(bars, bars) == 60
        assert beats_per_minute(bars, beats) == bars * beats


@pytest.mark.parametrize(
    ("dance", "printed"),
    [("salsa", (192, 220)), ("West Coast swing", (112, 128))],
)
def test_where_a_source_prints_beats_a_minute_too_they_agree(dance, printed):
    """Salsa: Swiss competition rules. West Coast swing: IDO rules of 2015 against the NDCA's bars."""
    (shipped,) = [row for row in DANCES if row.name == dance]
    bars = (shipped.slowest_bars_per_minute, shipped.quickest_bars_per_minute)
    assert tuple(beats_per_minute(number, shipped.beats_per_bar) for number in bars) == printed


@pytest.mark.parametrize(("dance", "beats", "low", "high", "source"), TEMPI)
def test_a_routine_of_32_bars_lies_in_music_as_its_printed_tempo_says(dance, beats, low, high, source):
    """Four phrases of eight bars; at the printed number of bars a minute, twice as many bars as that make two
    minutes. Source of the tempo: the row's."""
    for bars in (low, high):
        fit = fit_into(
            Fraction(32 * beats),
            phrase_beats=8 * beats,
            beats_per_minute=beats_per_minute(bars, beats),
            seconds=120,
            intro_beats=4 * beats,
        )
        assert fit.round_seconds == seconds_of(32, bars), source
        assert fit.begins == seconds_of(4, bars)
        assert fit.times == (2 * bars - 4) // 32
        assert fit.phrases == tuple(seconds_of(4 + 8 * phrase, bars) for phrase in range(4 * fit.times))


def test_three_rounds_of_a_slow_waltz_of_16_bars_take_96_to_103_seconds():
    """48 bars at 30 and at 28 bars a minute (TSO 05/2023)."""
    for bars, seconds in ((30, 96), (28, Fraction(720, 7))):
        fit = fit_into(Fraction(48), phrase_beats=24, beats_per_minute=beats_per_minute(bars, 3), seconds=120)
        assert (fit.times, 3 * fit.round_seconds) == (3, seconds)
