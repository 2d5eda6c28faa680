"""One box finds a figure by any of its names, in every dance the reader may read, mistyped too."""

import pytest
from django.urls import reverse

from curriculum.models import FigureName
from curriculum.search import MOST_FOUND, MOST_NEAR, find_figures
from tests.factories import CourseFactory, DanceFactory, EnrolmentFactory, FigureFactory, LevelFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def beginners():
    return LevelFactory(dance=DanceFactory(name="waltz"), rank=1, name="Beginners")


@pytest.fixture
def improvers(beginners):
    return LevelFactory(dance=beginners.dance, rank=2, name="Improvers")


@pytest.fixture
def swing():
    return LevelFactory(dance=DanceFactory(name="swing"), name="First")


def also_called(figure, *names):
    for name in names:
        FigureName.objects.create(dance=figure.dance, figure=figure, name=name)
    return figure


def found(words, reader):
    return [row.name for _, rows in find_figures(words, reader=reader).dances for row in rows]


class TestWhatIsFound:
    def test_by_another_name_and_in_every_dance(self, director, beginners, swing):
        also_called(FigureFactory(level=beginners, name="natural turn"), "right turn")
        FigureFactory(level=swing, name="right turn under")
        finds = find_figures("right turn", reader=director)
        assert [dance for dance, _ in finds.dances] == ["waltz", "swing"]
        (turn,) = finds.dances[0][1]
        assert (turn.name, turn.called, turn.level) == ("natural turn", "right turn", "Beginners")

    def test_the_name_itself_comes_before_one_that_begins_so_and_that_before_a_word(
        self, director, beginners
    ):
        for name in ("outside spin", "spin turn", "spin"):
            FigureFactory(level=beginners, name=name)
        assert found("spin", director) == ["spin", "spin turn", "outside spin"]

    def test_case_spaces_and_accents_do_not_matter(self, director, beginners):
        FigureFactory(level=beginners, name="Progressive Chassé")
        assert found("  CHASSE progressive", director) == ["Progressive Chassé"]

    def test_a_figure_stands_once_by_the_name_that_fits_best(self, director, beginners):
        also_called(FigureFactory(level=beginners, name="whisk to the right"), "whisk")
        (_, (row,)) = find_figures("whisk", reader=director).dances[0]
        assert row.called == "whisk"

    def test_nothing_asked_nothing_found(self, director, beginners):
        FigureFactory(level=beginners, name="whisk")
        assert find_figures("  ", reader=director).dances == ()

    def test_no_more_is_shown_than_anybody_reads(self, director, beginners):
        for number in range(MOST_FOUND + 3):
            FigureFactory(level=beginners, name=f"turn {number}")
        finds = find_figures("turn", reader=director)
        assert (len(finds.dances[0][1]), finds.number, finds.more) == (MOST_FOUND, MOST_FOUND + 3, 3)


class TestMistyped:
    @pytest.mark.parametrize(
        ("typed", "meant"),
        [
            ("natrual turn", "natural turn"),
            ("natrual", "natural turn"),
            ("whsk", "whisk"),
            ("hocky stik", "hockey stick"),
            ("newyork", "New York"),
            ("tlemark", "open telemark"),
            ("alamana", "alemana"),
        ],
    )
    def test_what_was_meant_comes_first(self, director, beginners, typed, meant):
        names = (
            "natural turn",
            "reverse turn",
            "whisk",
            "hockey stick",
            "New York",
            "open telemark",
            "alemana",
            "fan",
        )
        for name in names:
            FigureFactory(level=beginners, name=name)
        finds = find_figures(typed, reader=director)
        assert finds.near
        assert finds.dances[0][1][0].name == meant

    def test_what_is_like_nothing_finds_nothing(self, director, beginners):
        FigureFactory(level=beginners, name="whisk")
        assert find_figures("submarine", reader=director).number == 0

    def test_where_something_is_called_so_nothing_merely_like_it_is_shown(self, director, beginners):
        for name in ("fan", "fall"):
            FigureFactory(level=beginners, name=name)
        assert found("fan", director) == ["fan"]

    def test_only_a_few_are_offered(self, director, beginners):
        for number in range(MOST_NEAR + 4):
            FigureFactory(level=beginners, name=f"whisk{number:02}")
        assert len(found("wihsk00x", director)) <= MOST_NEAR


class TestWhoFindsWhat:
    def test_a_student_finds_what_is_on_levels_open_to_them(
        self, school, student, beginners, improvers, swing
    ):
        FigureFactory(level=beginners, name="box turn")
        FigureFactory(level=improvers, name="spin turn")
        FigureFactory(level=swing, name="under-arm turn")
        EnrolmentFactory(course=CourseFactory(level=beginners), person=student)
        assert found("turn", student) == ["box turn"]
        assert found("spin trun", student) == []

    def test_whoever_is_in_no_course_finds_nothing(self, school, student, beginners):
        FigureFactory(level=beginners, name="box turn")
        assert found("turn", student) == []


class TestThePage:
    def page(self, client, words):
        answer = client.get(reverse("curriculum:figures"), {"q": words})
        assert answer.status_code == 200
        return " ".join(answer.content.decode().split())

    def test_it_says_what_it_found_and_leads_there(self, as_director, beginners):
        figure = also_called(FigureFactory(level=beginners, name="natural turn"), "right turn")
        text = self.page(as_director, "right")
        assert "1 figure." in text
        address = reverse("curriculum:figure", args=[figure.pk])
        assert f'<a href="{address}">natural turn</a>, also called right turn' in text

    def test_it_asks_what_was_meant(self, as_director, beginners):
        FigureFactory(level=beginners, name="whisk")
        assert "No figure is called “wihsk”. Did you mean this?" in self.page(as_director, "wihsk")

    def test_it_says_when_there_is_nothing_like_it(self, as_director, beginners):
        assert "No figure is called “&lt;b&gt;”, nor anything like it." in self.page(as_director, "<b>")

    def test_what_was_typed_stays_in_the_box(self, as_director):
        assert 'value="whisk"' in self.page(as_director, "whisk")

    def test_every_page_has_the_box_for_whoever_may_read_figures(self, client, school, director, outsider):
        address = f'action="{reverse("curriculum:figures")}"'
        client.force_login(director)
        assert address in client.get("/").content.decode()
        client.force_login(outsider)
        assert address not in client.get("/").content.decode()

    @pytest.mark.parametrize("number", [3, 60])
    def test_it_costs_the_same_for_any_number_of_figures(
        self, as_director, beginners, number, django_assert_num_queries
    ):
        for place in range(number):
            also_called(FigureFactory(level=beginners, name=f"turn {place}"), f"spin {place}")
        with django_assert_num_queries(5):
            self.page(as_director, "tunr 1")
