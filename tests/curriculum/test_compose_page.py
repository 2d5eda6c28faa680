"""Composing on its page: what is asked for, what came of it in plain words, another, saved as a routine."""

from fractions import Fraction

import pytest
from django.urls import reverse

from curriculum import composing
from curriculum.models import Routine
from curriculum.problems import join_from_below
from curriculum.rules.compose import Composition
from curriculum.strip import routine_strip
from lessons.demo.dance_rows import load_dance
from tests.factories import FigureFactory, LevelFactory, PassageFactory
from tests.lessons.planned import TODAY, planned

pytestmark = pytest.mark.django_db


@pytest.fixture
def waltz(school):
    return load_dance("waltz")


@pytest.fixture
def level(waltz):
    return waltz.levels[2]


@pytest.fixture
def ask(as_director, level):
    def page(**asked):
        given = {"length": 2, "unit": "phrases"} | asked
        return as_director.get(reverse("curriculum:compose", args=[level.pk]), given)

    return page


def save(client, level, page, **fields):
    data = {"row": page.context["found"].row, "after": "", "name": "composed"} | fields
    return client.post(f"{reverse('curriculum:compose', args=[level.pk])}?length=2&unit=phrases", data)


def figures(page):
    return [block.name for block in page.context["found"].strip.blocks]


def test_the_empty_form_asks_for_two_phrases(as_director, level):
    page = as_director.get(reverse("curriculum:compose", args=[level.pk]))
    assert "found" not in page.context
    assert page.context["form"]["length"].value() == 2


def test_a_proposal_is_exactly_as_long_as_asked_and_connects(ask):
    strip = ask().context["found"].strip
    assert (strip.beats, strip.phrases, strip.broken) == (48, 2, 0)
    assert strip.danceable == len(strip.blocks)


def test_in_bars_too(ask):
    assert ask(length=6, unit="bars").context["found"].strip.beats == 18


def test_what_must_be_in_is_in_and_what_is_left_out_is_not(ask):
    page = ask(required=["whisk", "back lock"], avoid=["left box turn", "box step"])
    assert {"whisk", "back lock"} <= set(figures(page))
    assert not {"left box turn", "box step"} & set(figures(page))


@pytest.mark.parametrize("foot", ["L|1", ""])
def test_danced_round_its_end_leads_into_its_start(ask, as_director, level, foot):
    """From a stance that is chosen, or beginning anyhow."""
    start = next(key for key in ask().context["form"].starts if key.endswith(foot)) if foot else ""
    page = ask(start=start, end="round")
    save(as_director, level, page)
    made = Routine.objects.get(name="composed")
    rows = [item.passage for item in made.items.select_related("passage__figure").order_by("position")]
    strip = routine_strip(made, rows=[*rows, rows[0]])
    assert strip.broken == 0


def test_the_same_question_has_the_same_answer(ask):
    assert figures(ask(seed=3)) == figures(ask(seed=3))


def test_another_asks_the_same_with_another_seed(ask):
    page = ask(required=["whisk"])
    assert "seed=2" in page.context["another"]
    assert "required=whisk" in page.context["another"]


def test_what_it_costs_is_said_in_plain_words(ask):
    (said,) = ask(length=1).context["found"].said
    assert said.startswith("Best possible: no repeats; ")
    assert said.endswith("newest figures are in it, and more are impossible with so few repeats.")


def test_what_counts_as_a_repeat_is_named(ask, monkeypatch):
    """A run beyond a figure's first is one: the same several times in a row is not."""

    def made(passages, **asked):
        box, left = (next(one for one in passages if one.figure == name) for name in ("box step", "whisk"))
        return Composition("optimal", (box, box, left, box, left, box), (3, 0), (3, 0))

    monkeypatch.setattr(composing, "compose", made)
    assert ask().context["found"].said[-1] == (
        "It comes back twice to box step, once to whisk. The same figure several times in a row is not a "
        "repeat."
    )


def test_what_is_not_proved_says_so(ask, monkeypatch):
    """The bound is what was proved; the cost is what was found. Of 8 newest one has no way to be danced."""

    def unproved(passages, **asked):
        first = next(one for one in passages if one.figure == "left box turn")
        return Composition("feasible", (first, first, first), (2, -1), (1, -3))

    monkeypatch.setattr(composing, "compose", unproved)
    assert ask().context["found"].said == (
        "Sound, found in 2 seconds; perhaps not the best: 2 repeats; 1 of the 7 newest figures is in it.",
        "Fewer than 1 would be impossible.",
    )


def test_where_the_time_is_over_it_says_that_nothing_is_proved(ask, monkeypatch):
    monkeypatch.setattr(composing, "compose", lambda passages, **asked: Composition("unknown"))
    page = ask().content.decode()
    assert "No routine was found in 2 seconds, and it is not proved that there is none." in page


def test_where_there_is_none_it_says_why(ask):
    page = ask(length=1, unit="bars", required=["whisk", "natural turn"])
    assert page.context["found"].strip is None
    reasons = page.context["found"].reasons
    assert any("Whisk must be in it" in said for said in reasons)
    assert "These cannot all be:" in page.content.decode()


class TestWaysOut:
    """Each is one link that asks again, and it has an answer."""

    def ways(self, page):
        return {way.said: way.address for one in page.context["clashing"] for way in one.ways}

    def follow(self, client, level, address):
        page = client.get(f"{reverse('curriculum:compose', args=[level.pk])}{address}")
        assert page.context["found"].strip is not None
        return page

    def test_another_length_or_without_one_of_the_figures(self, ask, as_director, level):
        ways = self.ways(ask(length=1, unit="bars", required=["whisk", "natural turn"]))
        assert {"Without whisk", "Without natural turn"} < set(ways)
        (longer,) = (said for said in ways if said.startswith("Make it"))
        page = self.follow(as_director, level, ways[longer])
        assert {"whisk", "natural turn"} <= set(figures(page))
        shorter = int(longer.split()[2]) - 1
        assert (
            ask(length=shorter, unit="bars", required=["whisk", "natural turn"]).context["found"].strip
            is None
        )
        assert figures(self.follow(as_director, level, ways["Without whisk"])) == ["natural turn"]

    def test_phrases_stay_phrases_where_there_is_one(self, as_director, eight_bars):
        """A figure of 8 bars that does not stand twice in a row: one phrase goes, two don't."""
        level, page = eight_bars(length=2, unit="phrases")
        ways = self.ways(page)
        assert set(ways) == {"Make it 1 phrase long", "Change how often a long one may stand in a row"}
        assert figures(self.follow(as_director, level, ways["Make it 1 phrase long"])) == ["a long one"]

    def test_what_was_to_be_left_out_may_be_in(self, as_director, eight_bars):
        level, page = eight_bars(length=1, unit="phrases", avoid=["a long one"])
        ways = self.ways(page)
        assert list(ways) == ["Let a long one be in it"]
        assert figures(self.follow(as_director, level, ways["Let a long one be in it"])) == ["a long one"]

    def test_an_end_that_cannot_be_met_may_be_given_up(self, ask, as_director, level):
        """A single natural turn does not end where it starts."""
        page = ask(length=1, unit="bars", required=["whisk"], end="round")
        ways = self.ways(page)
        self.follow(as_director, level, ways["Let it end anyhow"])

    @pytest.fixture
    def one_bar_each(self, as_director, school):
        """Of a level with seven figures of a bar each, that follow each other in any order."""
        figure = FigureFactory(name="figure 0", ticks=4 * 12)
        made = [figure] + [
            FigureFactory(level=figure.level, name=f"figure {n}", ticks=48) for n in range(1, 7)
        ]
        for one in made:
            PassageFactory(figure=one, ticks=48)
        address = reverse("curriculum:compose", args=[figure.level_id])
        return figure.level, lambda **asked: as_director.get(address, {"unit": "bars"} | asked)

    @pytest.mark.parametrize(("length", "fewest"), [(6, 1), (5, 2), (2, 5)])
    def test_as_many_figures_as_it_takes_are_given_up_at_once(
        self, one_bar_each, as_director, length, fewest
    ):
        """By counting: so many bars hold as many figures of a bar, so all the others must go, and no more."""
        level, asking = one_bar_each
        names = [f"figure {n}" for n in range(7)]
        page = asking(length=length, required=names)
        ways = {said: address for said, address in self.ways(page).items() if said.startswith("Without")}
        assert ways
        for address in ways.values():
            kept = as_director.get(f"{reverse('curriculum:compose', args=[level.pk])}{address}").context[
                "wish"
            ]
            assert len(kept.required) == 7 - fewest
            assert set(kept.required) == set(figures(self.follow(as_director, level, address)))

    def test_what_goes_with_it_is_named(self, one_bar_each):
        _, asking = one_bar_each
        ways = self.ways(asking(length=2, required=["figure 0", "figure 1", "figure 2", "figure 3"]))
        assert any(", together with figure " in said for said in ways)

    def test_where_every_figure_is_left_out_they_are_to_be_let_in(self, one_bar_each, as_director):
        level, asking = one_bar_each
        page = asking(length=4, avoid=[f"figure {n}" for n in range(7)])
        (only,) = page.context["clashing"]
        assert only.sentence == "Every figure that could be danced is to be left out."
        assert "beats long" not in page.content.decode().split("Ask differently")[0]
        self.follow(as_director, level, self.ways(page)["Let them be in it"])

    def test_one_to_be_danced_again_is_tried_too(self, ask, as_director, level):
        """In 10 and 11 bars the joins allow it, and nothing that was found connects the second time."""
        required = ["box step", "balance forward and back", "left box turn", "left foot closed change"]
        ways = self.ways(ask(length=2, unit="bars", required=required, end="round"))
        assert ways
        for address in ways.values():
            self.follow(as_director, level, address)

    def test_a_figure_known_by_a_later_lesson_is_asked_for_then(self, as_director, settings):
        settings.TODAY = TODAY
        made = planned(status="published", figures={"box": 0, "turn": 5, "wing": 7})
        for row in made.plan.figures.all():
            PassageFactory(figure=row.figure, ticks=4 * 12 * (2 if row.figure.name == "turn" else 3))
        level = made.course.levels.get()
        address = reverse("curriculum:compose", args=[level.pk])
        page = as_director.get(address, {"length": 2, "unit": "bars", "clock": f"{made.course.pk}-now"})
        ways = self.ways(page)
        said = f"Ask after lesson 6, Tuesday 10 February (planned, may change) in {made.course.name}"
        assert set(ways) == {said, "Make it 3 bars long"}
        assert figures(self.follow(as_director, level, ways[said])) == ["turn"]

    @pytest.fixture
    def eight_bars(self, as_director, school):
        """eight_bars(length=…) asks for a routine of the only figure there is, of 8 bars."""

        def page(**asked):
            figure = FigureFactory(name="a long one", ticks=8 * 4 * 12)
            PassageFactory(figure=figure)
            return figure.level, as_director.get(reverse("curriculum:compose", args=[figure.level_id]), asked)

        return page


def test_from_which_lesson_the_courses_of_its_level_can_dance_it_is_said(as_director, settings):
    """Of a routine that no course is to dance yet: one knows all of it, one will by a lesson of its plan."""
    settings.TODAY = TODAY
    made = planned(status="published", figures={"box": 0, "turn": 5, "wing": None})
    known = planned(level=made.course.levels.get(), figures={}, name="knows it")
    for row in made.plan.figures.exclude(figure__name="wing"):
        known.course.taught_before.create(figure=row.figure)
        PassageFactory(figure=row.figure)
    address = reverse("curriculum:compose", args=[made.course.levels.get().pk])
    page = as_director.get(address, {"length": 2, "unit": "bars"})
    assert {(row.course, row.when) for row in page.context["danceable_from"]} == {
        (made.course.name, "after lesson 6, Tuesday 10 February (planned, may change)"),
        ("knows it", "today"),
    }
    assert "after lesson 6, Tuesday 10 February (planned, may change)" in page.content.decode()


def test_only_what_the_course_knows_then_is_danced(as_director, settings, level, waltz):
    """Today two figures are known; after lesson 7 the whisk's chasse makes more possible."""
    settings.TODAY = "2026-02-04"
    made = planned(level=waltz.levels[1], figures={}, recorded=False)
    known = {waltz.figures[name] for name in ("box step", "left box turn")}
    for figure in known:
        made.course.taught_before.create(figure=figure)
    address = reverse("curriculum:compose", args=[waltz.levels[1].pk])
    page = as_director.get(address, {"length": 12, "unit": "bars", "clock": f"{made.course.pk}-now"})
    assert set(figures(page)) == {figure.name for figure in known}
    offered = dict(page.context["form"].fields["required"].choices)
    assert set(offered) == {figure.name for figure in known}


def test_a_dance_without_ways_in_and_out_says_that_there_is_nothing(as_director, school):
    level = LevelFactory()
    FigureFactory(level=level)
    page = as_director.get(reverse("curriculum:compose", args=[level.pk]), {"length": 1, "unit": "bars"})
    assert page.context["found"].strip is None
    assert page.context["found"].reasons


class TestSaving:
    def test_it_is_saved_as_a_routine_and_opened_in_the_builder(self, as_director, level, waltz, ask):
        below = waltz.routines["waltz 1"]
        page = ask(start=f"after-{below.pk}", corner=8)
        answer = save(as_director, level, page, after=below.pk)
        made = Routine.objects.get(name="composed")
        assert answer.url == reverse("curriculum:routine-build", args=[made.pk])
        assert made.continues == below
        assert join_from_below(made).status != "broken"
        built = as_director.get(answer.url).context["page"].strip
        assert [block.name for block in built.blocks] == figures(page)
        assert built.beats == Fraction(48)

    @pytest.mark.parametrize(
        ("fields", "sentence"),
        [
            ({"row": "1;2"}, "The page you sent was not whole. Compose it again."),
            ({"row": "999999"}, "That figure, or that way through it, is not there any more. Choose again."),
        ],
    )
    def test_what_cannot_be_saved_is_said_and_the_proposal_stays(
        self, as_director, level, ask, fields, sentence
    ):
        page = save(as_director, level, ask(), **fields)
        assert page.context["name_wrong"] == ""
        assert sentence in [str(message) for message in page.context["messages"]]
        assert page.context["found"].strip is not None
        assert not Routine.objects.filter(name="composed").exists()

    @pytest.mark.parametrize(
        ("name", "sentence"),
        [("waltz 2", "Improvers has a routine called waltz 2 already."), (" ", "Give it a name.")],
    )
    def test_a_name_that_cannot_be_is_said_at_its_field(self, as_director, level, ask, name, sentence):
        page = save(as_director, level, ask(), name=name)
        assert f'id="name_error" role="alert">{sentence}' in page.content.decode()
        assert f'value="{name}" aria-invalid="true" aria-describedby="name_error"' in page.content.decode()
        assert page.context["found"].strip is not None
        assert not list(page.context["messages"])


@pytest.mark.parametrize(
    ("asked", "field", "sentence"),
    [
        ({"length": 0}, "length", "Write 1 or more."),
        ({"length": 900}, "length", "Write 256 or less."),
        ({"length": 33}, "length", "At most 256 bars: 32 phrases."),
        ({"length": "long"}, "length", "This is not a whole number."),
        ({"unit": "hours"}, "unit", "This is not among the choices. Choose again."),
        ({"required": ["fan"]}, "required", "fan is not known by then. Choose others, or a later lesson."),
        (
            {"required": ["whisk"], "avoid": ["whisk"]},
            "avoid",
            "whisk must be in: it cannot be left out.",
        ),
    ],
)
def test_what_makes_no_sense_is_said_at_its_field(ask, asked, field, sentence):
    page = ask(**asked)
    assert page.context["form"].errors[field] == [sentence]
    assert sentence in page.content.decode()


@pytest.mark.parametrize("length", [1, 6])
def test_it_costs_the_same_for_any_length(ask, length, django_assert_num_queries):
    ask(length=1)
    with django_assert_num_queries(12):
        ask(length=length)
