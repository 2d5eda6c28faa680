"""Who changed what about a figure and when, in sentences, and the way back: nothing is ever lost."""

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from curriculum import actions, history
from curriculum.chart_writing import save_chart
from curriculum.figure_form import as_typed
from curriculum.history_page import ENTRIES_A_PAGE, history_of
from curriculum.models import (
    Caution,
    ChartStep,
    Fault,
    Figure,
    FigureVersion,
    Passage,
    Prerequisite,
    RoutineItem,
    StepChart,
)
from curriculum.passage_writing import WayToWrite, save_passages
from curriculum.restoring import restore
from curriculum.rules.chart import Step
from curriculum.snapshot import snapshots_of
from curriculum.spreadsheet.columns import COLUMNS
from lessons.demo.dance_rows import load_dance
from school.errors import Overtaken
from tests.factories import (
    DanceFactory,
    FigureFactory,
    HoldFactory,
    LevelFactory,
    PassageFactory,
    PersonFactory,
    RoutineFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def level(school):
    return LevelFactory(dance=DanceFactory(floor_use="travels"), rank=1, name="Beginners")


@pytest.fixture
def closed(level):
    return HoldFactory(dance=level.dance, name="closed")


@pytest.fixture
def whisk(level):
    return FigureFactory(level=level, name="whisk", ticks=36)


def said(figure):
    """The newest change as (field, before, after)."""
    entry = history_of(figure).entries[0]
    return [(change.field, change.before, change.after) for change in entry.changes]


def rename(figure, name, by, **more):
    actions.update_figure(figure=figure, version=figure.version, name=name, by=by, **more)


def steps(*feet):
    return [Step(str(number), 12, foot, "step", "forward") for number, foot in enumerate(feet, start=1)]


def draw_chart(figure, by, *feet, chart=None, passages=()):
    figure.refresh_from_db()
    return save_chart(
        figure=figure,
        chart=chart,
        version=figure.version,
        name="whole",
        note="",
        leader=steps(*feet),
        follower=steps(*feet),
        passages=passages,
        own_length=False,
        by=by,
    )


def bring_back(figure, version, by):
    figure = Figure.objects.select_related("dance").get(pk=figure.pk)
    row = FigureVersion.objects.get(figure=figure, version=version)
    return restore(figure=figure, row=row, version=figure.version, by=by)


class TestWhatIsKept:
    def test_a_change_on_the_page_keeps_who_did_it_and_what_it_was_before(self, as_director, director, whisk):
        form = as_typed(whisk) | {"minutes_to_introduce": 15, "faults": "late → clap first"}
        as_director.post(reverse("curriculum:figure-edit", args=[whisk.pk]), form)
        first, second = FigureVersion.objects.order_by("version")
        assert (first.version, first.by, second.version, second.by) == (1, None, 2, director)
        assert said(Figure.objects.get()) == [
            ("Minutes to introduce", "12", "15"),
            ("What goes wrong", "", "late → clap first"),
        ]

    def test_a_new_figure_begins_its_history_with_who_made_it(self, as_director, director, level):
        form = {"name": "box", "level": level.pk, "kind": "figure", "beats": "6", "in_a_row": 1}
        form |= {"minutes_to_introduce": 10, "minutes_to_review": 3, "cautions": "Mind the toes."}
        as_director.post(reverse("curriculum:figure-new", args=[level.dance_id]), form)
        row = FigureVersion.objects.get()
        assert (row.version, row.by) == (1, director)
        assert row.snapshot["cautions"] == ["Mind the toes."]

    def test_what_it_needs(self, director, whisk, level):
        turn = FigureFactory(level=level, name="natural turn")
        actions.add_prerequisite(figure=whisk, needs=turn, same_evening=True, by=director)
        assert said(whisk) == [("It needs", "", "natural turn, the same evening will do")]
        actions.remove_prerequisite(figure=whisk, needs=turn, by=director)
        assert said(whisk) == [("It needs", "natural turn, the same evening will do", "")]
        actions.remove_prerequisite(figure=whisk, needs=turn, by=director)
        assert FigureVersion.objects.count() == 3

    def test_its_names(self, director, whisk):
        rename(whisk, "back whisk", director, other_names=["whisk"])
        assert said(whisk) == [("Name", "whisk", "back whisk"), ("Other names", "", "whisk")]

    def test_a_chart_row_by_row(self, director, whisk, closed):
        way = PassageFactory(figure=whisk, label="whole", entry_hold=closed)
        chart = draw_chart(whisk, director, "L", "R", "L", passages=[way.pk])
        draw_chart(whisk, director, "L", "R", "R", chart=chart, passages=[way.pk])
        assert said(whisk) == [
            ("Way “whole” ends", "right foot free", "left foot free"),
            ("Chart “whole”, leader, row 3", "3 (12 ticks): L step forward", "3 (12 ticks): R step forward"),
            (
                "Chart “whole”, follower, row 3",
                "3 (12 ticks): L step forward",
                "3 (12 ticks): R step forward",
            ),
        ]

    def test_a_way(self, director, whisk, closed):
        save_passages(
            figure=whisk,
            version=1,
            ways=[WayToWrite(None, {"label": "slow", "entry_hold": closed, "entry_place": 1})],
            by=director,
        )
        assert ("Way “slow” starts", "", "closed; facing diagonal to wall") in said(whisk)

    def test_a_spreadsheet(self, as_director, director, level, closed):
        standing = FigureFactory(level=level, name="box", ticks=36)
        rows = ("Beginners,box,,3,9,4,,,,", "Beginners,whisk,,3,12,4,,,,")
        file = "\n".join([",".join(COLUMNS), *rows, ""])
        bring_in_file(as_director, level.dance, file)
        assert said(Figure.objects.get(pk=standing.pk))[0] == ("Minutes to introduce", "12", "9")
        assert FigureVersion.objects.get(figure__name="whisk").by == director

    def test_a_refused_change_keeps_nothing(self, director, whisk, level):
        FigureFactory(level=level, name="taken")
        with pytest.raises(ValidationError):
            rename(whisk, "taken", director)
        with pytest.raises(Overtaken):
            actions.update_figure(figure=whisk, version=9, name="whisk", by=director)
        assert not FigureVersion.objects.exists()

    def test_who_has_left_the_school_leaves_the_change(self, whisk):
        gone = PersonFactory()
        rename(whisk, "x", gone)
        gone.delete()
        assert history_of(whisk).entries[0].who == ""

    @pytest.mark.parametrize("figures", [2, 12])
    def test_keeping_costs_the_same_for_any_number_of_figures(
        self, level, figures, django_assert_num_queries
    ):
        rows = FigureFactory.create_batch(figures, level=level)
        for row in rows:
            chart = StepChart.objects.create(figure=row)
            ChartStep.objects.create(chart=chart, role="L", position=0, count="1", ticks=12, action="hold")
            PassageFactory(figure=row)
        with django_assert_num_queries(10):
            history.keep([row.pk for row in rows], by=None)


def bring_in_file(client, dance, text):
    page = client.post(
        reverse("curriculum:spreadsheet-in", args=[dance.pk]),
        {"file": SimpleUploadedFile("figures.csv", text.encode())},
    )
    carried = page.context["carried"]
    client.post(reverse("curriculum:spreadsheet-confirm", args=[dance.pk]), {"carried": carried})


class TestTheWayBack:
    def test_makes_a_new_version_that_is_the_old_one_again(self, director, whisk):
        actions.update_figure(
            figure=whisk, version=1, name="whisk", minutes_to_introduce=20, notes="much longer", by=director
        )
        bring_back(whisk, 1, director)
        whisk.refresh_from_db()
        assert (whisk.version, whisk.minutes_to_introduce, whisk.notes) == (3, 12, "")
        entries = history_of(whisk).entries
        assert [(entry.version, entry.who, entry.stands) for entry in entries] == [
            (3, director.name, True),
            (2, director.name, False),
            (1, "", False),
        ]

    def test_and_back_again_loses_nothing(self, director):
        """Whatever hangs on a figure of the demo goes and comes back just as it was."""
        rows = load_dance("waltz")
        figure = rows.figure("natural turn")
        before = snapshots_of([figure.pk])[figure.pk]
        with history.changing(figure.pk, by=director):
            Passage.objects.filter(figure=figure, routineitem__isnull=True).delete()
            for kind in (StepChart, Fault, Caution, Prerequisite):
                kind.objects.filter(figure=figure).delete()
            history.count_up(figure)
        changed = snapshots_of([figure.pk])[figure.pk]
        assert changed != before
        assert bring_back(figure, 1, director) == ()
        assert snapshots_of([figure.pk])[figure.pk] == before
        bring_back(figure, 2, director)
        assert snapshots_of([figure.pk])[figure.pk] == changed
        assert Figure.objects.get(pk=figure.pk).version == 4

    def test_needs_that_came_later_go_and_those_that_went_come(self, director, whisk, level):
        first, second = (FigureFactory(level=level, name=name) for name in ("first", "second"))
        actions.add_prerequisite(figure=whisk, needs=first, by=director)
        actions.remove_prerequisite(figure=whisk, needs=first, by=director)
        actions.add_prerequisite(figure=whisk, needs=second, by=director)
        bring_back(whisk, 2, director)
        assert [row.needs for row in whisk.prerequisites.all()] == [first]
        assert Figure.objects.get(pk=whisk.pk).version == 5
        assert list(whisk.versions.values_list("version", flat=True)) == [5, 4, 3, 2, 1]

    def test_a_way_that_a_routine_dances_stays_and_that_is_said(self, director, whisk, level):
        history.keep([whisk.pk], by=None)
        save_passages(figure=whisk, version=1, ways=[WayToWrite(None, {"label": "new"})], by=director)
        way = Passage.objects.get()
        RoutineFactory(level=level, dances=[way])
        assert bring_back(whisk, 1, director) == ("The way “new” stays, for a routine dances it.",)
        assert RoutineItem.objects.get().passage == way

    def test_what_it_needed_may_be_gone(self, director, whisk, level):
        turn = FigureFactory(level=level, name="natural turn")
        actions.add_prerequisite(figure=whisk, needs=turn, by=director)
        turn.delete()
        assert bring_back(whisk, 2, director) == ("natural turn is gone.",)

    def test_is_refused_where_another_figure_has_the_name_now(self, director, whisk, level):
        rename(whisk, "back whisk", director)
        FigureFactory(level=level, name="whisk")
        with pytest.raises(ValidationError, match="already has a figure called “whisk”"):
            bring_back(whisk, 1, director)
        assert Figure.objects.get(pk=whisk.pk).name == "back whisk"

    def test_is_refused_where_it_would_close_a_circle(self, director, whisk, level):
        turn = FigureFactory(level=level, name="turn")
        actions.add_prerequisite(figure=whisk, needs=turn, by=director)
        actions.remove_prerequisite(figure=whisk, needs=turn, by=director)
        actions.add_prerequisite(figure=turn, needs=whisk, by=director)
        with pytest.raises(ValidationError, match="circle"):
            bring_back(whisk, 2, director)
        assert not whisk.prerequisites.exists()

    def test_is_refused_where_its_level_is_gone(self, director, whisk, level):
        other = LevelFactory(dance=level.dance, rank=2, name="Improvers")
        actions.update_figure(figure=whisk, version=1, name="whisk", level=other, by=director)
        level.delete()
        with pytest.raises(ValidationError, match="Its level Beginners is gone"):
            bring_back(whisk, 1, director)


class TestThePage:
    def changed(self, director, whisk, times=1):
        for number in range(times):
            rename(whisk, f"whisk {number}", director)

    def test_says_who_changed_what(self, as_director, director, whisk):
        self.changed(director, whisk)
        text = as_director.get(reverse("curriculum:figure-history", args=[whisk.pk])).content.decode()
        assert director.name in text
        assert "<b>Name:</b> <del>whisk</del>" in text
        assert "As it stood when its history begins" in text

    def test_says_so_where_nothing_was_changed(self, as_director, whisk):
        text = as_director.get(reverse("curriculum:figure-history", args=[whisk.pk])).content.decode()
        assert "Nothing was changed yet" in text

    def test_brings_a_version_back(self, as_director, director, whisk):
        self.changed(director, whisk)
        address = reverse("curriculum:figure-restore", args=[whisk.pk, 1])
        page = as_director.post(address, {"version": 2}, follow=True)
        assert "again as it was at version 1" in page.content.decode()
        assert Figure.objects.get().name == "whisk"

    def test_whoever_saw_an_older_version_is_told_first(self, as_director, director, whisk):
        self.changed(director, whisk, times=2)
        address = reverse("curriculum:figure-restore", args=[whisk.pk, 1])
        for seen in ({"version": 2}, {}):
            page = as_director.post(address, seen, follow=True)
            assert "while you had it open" in page.content.decode()
        assert Figure.objects.get().name == "whisk 1"

    def test_a_refusal_is_said(self, as_director, director, whisk, level):
        self.changed(director, whisk)
        FigureFactory(level=level, name="whisk")
        address = reverse("curriculum:figure-restore", args=[whisk.pk, 1])
        page = as_director.post(address, {"version": 2}, follow=True)
        assert "It cannot be brought back: This dance already has" in page.content.decode()

    def test_what_was_never_kept_cannot_be_brought_back(self, as_director, whisk):
        address = reverse("curriculum:figure-restore", args=[whisk.pk, 7])
        assert as_director.post(address, {"version": 1}).status_code == 404

    def test_is_brought_back_by_sending_not_by_looking(self, as_director, director, whisk):
        self.changed(director, whisk)
        assert as_director.get(reverse("curriculum:figure-restore", args=[whisk.pk, 1])).status_code == 405

    def test_an_instructor_reads_it_but_brings_nothing_back(self, client, instructor, director, whisk):
        self.changed(director, whisk)
        client.force_login(instructor)
        page = client.get(reverse("curriculum:figure-history", args=[whisk.pk]))
        assert "Bring this back" not in page.content.decode()
        assert client.post(reverse("curriculum:figure-restore", args=[whisk.pk, 1])).status_code == 403

    @pytest.mark.parametrize(("times", "on_the_first"), [(3, 4), (40, ENTRIES_A_PAGE)])
    def test_costs_the_same_at_any_length_and_goes_on_on_a_next_page(
        self, as_director, director, whisk, times, on_the_first, django_assert_num_queries
    ):
        self.changed(director, whisk, times=times)
        address = reverse("curriculum:figure-history", args=[whisk.pk])
        with django_assert_num_queries(6):
            page = as_director.get(address)
        shown = [entry.version for entry in page.context["page"].entries]
        assert len(shown) == on_the_first
        if (older := page.context["page"].older) is not None:
            page = as_director.get(address, {"before": older})
            shown += [entry.version for entry in page.context["page"].entries]
        assert shown == list(range(times + 1, 0, -1))
