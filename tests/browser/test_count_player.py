"""The count player in a real browser: its clicks lie on the grid of the music, and it says what it does.

The player tells of every sound as it sets it on the audio clock. The times it ought to have are worked out
here from bars a minute and ticks alone. The charts are the demo's.
"""

import pytest
from playwright.sync_api import expect

from curriculum.models import Figure
from lessons.demo.dance_rows import load_dance

pytestmark = pytest.mark.django_db(transaction=True)

WALTZ = {"dance": "waltz", "figure": "box step", "beats": 3, "bars": 29}
BALANCE = WALTZ | {"figure": "balance forward and back"}
CHA_CHA = {"dance": "cha-cha", "figure": "basic movement", "beats": 4, "bars": 31}
TICKS_PER_BEAT = 12

LISTEN = """() => {
  window.heard = [];
  window.tones = 0;
  const begin = AudioScheduledSourceNode.prototype.start;
  AudioScheduledSourceNode.prototype.start = function (...when) {
    window.tones += 1;
    return begin.apply(this, when);
  };
  document.addEventListener("counts:set", (event) => window.heard.push(event.detail));
}"""


@pytest.fixture
def practice(live_server, visit, client, school, instructor):
    """practice(WALTZ) stands on that figure's page, signed in, listening."""
    for name in ("waltz", "cha_cha"):
        load_dance(name)
    client.force_login(instructor)
    session = {"name": "sessionid", "value": client.cookies["sessionid"].value, "url": live_server.url}

    def open_figure(music):
        visitor = visit(live_server.url)
        visitor.context.add_cookies([session])
        figure = Figure.objects.get(dance__name=music["dance"], name=music["figure"])
        visitor.page.goto(f"/figures/{figure.pk}/")
        visitor.page.evaluate(LISTEN)
        return visitor.page

    return open_figure


def play(page):
    page.get_by_role("button", name="Play the counts").first.click()


def heard_until(page, seconds):
    """Every sound set for the first so many seconds."""
    page.wait_for_function(
        "(seconds) => heard.length && heard.at(-1).time - heard[0].time >= seconds",
        arg=seconds,
        timeout=40_000,
    )
    return [sound for sound in page.evaluate("heard") if sound["time"] - sound_zero(page) <= seconds]


def sound_zero(page):
    return page.evaluate("heard[0].time")


def choose(page, name, option=None):
    page.get_by_text("Tempo, part and voice").first.click()
    field = page.get_by_label(name, exact=True).first
    field.select_option(option) if option is not None else field.uncheck()


@pytest.mark.parametrize("music", [WALTZ, CHA_CHA], ids=["waltz", "cha-cha"])
def test_over_ten_seconds_no_click_is_a_millisecond_off_and_accents_are_the_bars_first_beats(practice, music):
    page = practice(music)
    play(page)
    sounds = heard_until(page, 10)
    seconds_per_tick = 60 / (music["bars"] * music["beats"] * TICKS_PER_BEAT)
    ticks = {round((sound["time"] - sounds[0]["time"]) / seconds_per_tick) for sound in sounds}
    beats = {beat * TICKS_PER_BEAT for beat in range(int(10 / seconds_per_tick / TICKS_PER_BEAT) + 1)}
    assert beats <= ticks, "every beat sounds"
    for sound in sounds:
        due = sounds[0]["time"] + sound["tick"] * seconds_per_tick
        assert abs(sound["time"] - due) < 0.001
        assert (sound["kind"] == "accent") == (sound["tick"] % (music["beats"] * TICKS_PER_BEAT) == 0)


def test_a_cha_cha_is_counted_in_for_a_bar_and_a_beat_and_its_last_count_is_the_one_of_the_bar(practice):
    page = practice(CHA_CHA)
    play(page)
    sounds = heard_until(page, 6)
    assert [sound["beat"] for sound in sounds[:5]] == [1, 2, 3, 4, 1]
    said = page.locator("[data-counted]").first.locator("[data-count]").all_inner_texts()
    danced = [(said[sound["row"]], sound["kind"]) for sound in sounds[5:10]]
    assert danced == [("2", "beat"), ("3", "beat"), ("4", "beat"), ("&", "off"), ("1", "accent")]


def test_slow_practice_is_as_much_slower_as_it_says(practice):
    page = practice(WALTZ)
    page.get_by_label("60 %").first.check()
    play(page)
    first, second = heard_until(page, 1.5)[:2]
    assert second["time"] - first["time"] == pytest.approx(60 / (29 * 3) / 0.6, abs=0.001)


def test_a_part_is_looped_and_counted_in_from_the_beat_it_begins_on(practice):
    page = practice(WALTZ)
    choose(page, "From", "3")
    page.get_by_label("To", exact=True).first.select_option("4")
    play(page)
    sounds = heard_until(page, 5)
    assert [sound["beat"] for sound in sounds[:3]] == [1, 2, 3]
    assert [sound["row"] for sound in sounds[3:7]] == [3, 4, 3, 4]


def test_danced_once_it_stops_by_itself_and_says_so(practice):
    page = practice(WALTZ)
    choose(page, "Again and again")
    play(page)
    status = page.get_by_role("status").first
    expect(status).to_have_text("Playing.")
    expect(status).to_have_text("Stopped.", timeout=15_000)
    assert page.evaluate("heard.length") == 9


@pytest.mark.parametrize(("softly", "tones"), [(True, 9), (False, 7)])
def test_a_held_count_is_a_soft_tick_or_silence_as_one_chooses(practice, softly, tones):
    page = practice(BALANCE)
    choose(page, "Again and again")
    if not softly:
        page.get_by_label("A soft tick where one waits").first.uncheck()
    play(page)
    expect(page.get_by_role("status").first).to_have_text("Stopped.", timeout=15_000)
    kinds = [sound["kind"] for sound in page.evaluate("heard")]
    assert kinds == ["accent", "beat", "beat", "accent", "beat", "held", "accent", "beat", "held"]
    assert page.evaluate("tones") == tones


def test_row_count_and_prints_of_both_roles_light_up_together(practice):
    page = practice(WALTZ)
    play(page)
    part = page.locator("[data-counted]").first
    expect(part.locator("tr.now")).to_have_count(1, timeout=10_000)
    expect(part.locator(".counts-line .now")).to_have_count(1)
    # Each role's own picture, and the one of both together.
    expect(part.locator(".print-leader.now")).to_have_count(2)
    expect(part.locator(".print-follower.now")).to_have_count(2)
    page.get_by_role("button", name="Stop").click()
    expect(part.locator(".now")).to_have_count(0)


def test_it_goes_by_keyboard_and_nothing_sounds_before_it_is_pressed(practice):
    page = practice(WALTZ)
    button = page.get_by_role("button", name="Play the counts").first
    button.focus()
    assert page.evaluate("heard.length") == 0
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="Stop")).to_be_focused()
    page.keyboard.press("Space")
    expect(button).to_be_focused()


def test_it_needs_no_network_once_the_page_is_there(practice):
    page = practice(WALTZ)
    page.context.set_offline(True)
    play(page)
    assert heard_until(page, 3)
    page.context.set_offline(False)


def test_it_stops_when_the_page_is_left(practice):
    page = practice(WALTZ)
    play(page)
    heard_until(page, 1)
    page.evaluate("window.dispatchEvent(new PageTransitionEvent('pagehide'))")
    expect(page.get_by_role("status").first).to_have_text("Stopped.")


def test_without_javascript_the_counts_stand_there_and_no_dead_buttons(practice):
    page = practice(WALTZ)
    address = page.url
    bare = page.context.browser.new_context(java_script_enabled=False)
    bare.add_cookies(page.context.cookies())
    still = bare.new_page()
    still.goto(address)
    assert still.locator("[data-count]").all_inner_texts() == ["1", "2", "3", "4", "5", "6"]
    expect(still.get_by_role("button", name="Play the counts")).to_be_hidden()
    bare.close()
