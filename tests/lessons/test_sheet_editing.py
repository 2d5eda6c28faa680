"""An instructor changes tonight's sheet: order, minutes, what is left out, what is added. The rest is fitted
again, at once, and nothing that was typed is lost."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from lessons.actions.errors import Overtaken
from lessons.actions.sheets import change_sheet
from lessons.models import LessonSession, SheetChange, SheetSegment
from lessons.rules.segments import Evening, segments_of
from lessons.rules.sheet_changes import spoken_of
from lessons.run_sheet.fitted import run_sheet
from tests.factories import (
    FigureFactory,
    PersonFactory,
    PieceFactory,
    PlanFigureFactory,
    RecordFactory,
)


@pytest.fixture(autouse=True)
def third_week(settings, school, whisk):
    """Nothing has been recorded."""
    settings.TODAY = "2026-01-20"


def address(lesson):
    return reverse("lessons:sheet-edit", args=[lesson.pk])


def form(page, **typed):
    """What the page's form would send."""
    sent = {"version": page.version, "row": []}
    for number, row in enumerate(page.rows):
        sent["row"].append(str(number))
        sent[f"kind-{number}"] = row.kind
        sent[f"minutes-{number}"] = row.minutes
        if row.figure:
            sent[f"figure-{number}"] = row.figure
        if row.is_own:
            sent[f"title-{number}"] = row.title
        if row.music:
            sent[f"music-{number}"] = row.music
        if row.left_out:
            sent[f"out-{number}"] = "1"
    return sent | {name.replace("_", "-"): value for name, value in typed.items()}


def send(client, lesson, **typed):
    page = client.get(address(lesson)).context["page"]
    return client.post(address(lesson), form(page, **typed))


def place(client, lesson, kind):
    rows = client.get(address(lesson)).context["page"].rows
    return next(number for number, row in enumerate(rows) if row.kind == kind)


def order(lesson):
    return [row.kind for row in run_sheet(LessonSession.objects.get(pk=lesson.pk)).rows]


def minutes_of(lesson, kind):
    rows = run_sheet(LessonSession.objects.get(pk=lesson.pk)).rows
    return next(row.minutes for row in rows if row.kind == kind)


class TestThePage:
    def test_a_press_moves_a_segment_and_goes_on_from_there(self, as_instructor, tonight):
        at = place(as_instructor, tonight, "practice")
        answer = send(as_instructor, tonight, press=f"up-{at}")
        assert answer.url == f"{address(tonight)}#row-{at - 1}"
        assert order(tonight) == ["arrive", "warm_up", "practice", "new", "close"]

    def test_minutes_are_kept_and_the_rest_is_fitted(self, as_instructor, tonight):
        at = place(as_instructor, tonight, "new")
        send(as_instructor, tonight, **{f"minutes-{at}": "20"})
        assert minutes_of(tonight, "new") == 20
        send(as_instructor, tonight, press=f"longer-{at}")
        assert minutes_of(tonight, "new") == 21
        send(as_instructor, tonight, press=f"shorter-{at}")
        assert minutes_of(tonight, "new") == 20

    def test_a_minute_more_starts_from_the_fitted_minutes(self, as_instructor, tonight):
        before = minutes_of(tonight, "warm_up")
        at = place(as_instructor, tonight, "warm_up")
        send(as_instructor, tonight, press=f"longer-{at}")
        assert minutes_of(tonight, "warm_up") == before + 1

    def test_a_segment_is_left_out_and_put_back(self, as_instructor, tonight):
        at = place(as_instructor, tonight, "arrive")
        send(as_instructor, tonight, press=f"out-{at}")
        assert "arrive" not in order(tonight)
        assert "left out" in as_instructor.get(address(tonight)).content.decode()
        send(as_instructor, tonight, press=f"back-{at}")
        assert order(tonight)[0] == "arrive"

    def test_something_of_ones_own_is_added_named_anew_and_taken_out(self, as_instructor, tonight):
        send(as_instructor, tonight, press="add", title_more="announcements", minutes_more="4")
        assert minutes_of(tonight, "own") == 4
        at = place(as_instructor, tonight, "own")
        send(as_instructor, tonight, **{f"title-{at}": "the party"})
        page = as_instructor.get(reverse("lessons:lesson", args=[tonight.pk])).content.decode()
        assert "the party" in page
        assert "Changed from the plan by Tobin Marl." in page
        send(as_instructor, tonight, press=f"drop-{at}")
        assert "own" not in order(tonight)

    def test_as_planned_again_takes_all_changes_away(self, as_instructor, tonight):
        planned = order(tonight)
        send(as_instructor, tonight, press="down-0")
        assert order(tonight) != planned
        send(as_instructor, tonight, press="as-planned")
        assert order(tonight) == planned
        assert not SheetSegment.objects.exists()
        page = as_instructor.get(reverse("lessons:lesson", args=[tonight.pk])).content.decode()
        assert "Changed from the plan" not in page

    def test_what_ends_as_it_was_planned_is_no_change(self, as_instructor, tonight):
        send(as_instructor, tonight, press="down-0")
        send(as_instructor, tonight, press="up-1")
        assert not SheetSegment.objects.exists()

    @pytest.mark.parametrize("typed", ["0", "-3", "half", "999", "1.5"])
    def test_minutes_that_are_none_are_said_at_the_field_and_stay(self, as_instructor, tonight, typed):
        at = place(as_instructor, tonight, "new")
        page = send(as_instructor, tonight, **{f"minutes-{at}": typed}).content.decode()
        assert "Write whole minutes, 1 to 240" in page
        assert f'value="{typed}"' in page
        assert not SheetChange.objects.exists()

    def test_more_than_the_lesson_holds_is_said_at_the_field(self, as_instructor, tonight):
        at = place(as_instructor, tonight, "new")
        answer = send(as_instructor, tonight, **{f"minutes-{at}": "58"})
        assert "At most" in answer.context["page"].rows[at].wrong["minutes"]
        assert not SheetChange.objects.exists()

    @pytest.mark.parametrize("minutes", ["", "4"])
    def test_something_without_a_name_asks_for_one_at_its_field(self, as_instructor, tonight, minutes):
        answer = send(as_instructor, tonight, press="add", minutes_more=minutes)
        text = answer.content.decode()
        field = text[text.index('<label for="title-more"') : text.index('<label for="minutes-more"')]
        assert "Say what it is, then add it." in field
        assert 'aria-describedby="title-more-error"' in field
        assert not minutes or 'name="minutes-more" value="4"' in text
        assert [row.kind for row in answer.context["page"].rows] == order(tonight)
        assert not SheetChange.objects.exists()

    def test_something_of_ones_own_stands_before_the_close_and_the_page_goes_on_from_it(
        self, as_instructor, tonight
    ):
        answer = send(as_instructor, tonight, press="add", title_more="announcements")
        assert order(tonight)[-2:] == ["own", "close"]
        assert answer.url == f"{address(tonight)}#row-{place(as_instructor, tonight, 'own')}"

    def test_what_is_typed_to_be_added_moves_no_other_rows_button(self, as_instructor, tonight):
        at = place(as_instructor, tonight, "close")
        send(as_instructor, tonight, press=f"up-{at}", title_more="announcements")
        kinds_now = order(tonight)
        assert kinds_now.index("close") < kinds_now.index("own") < len(kinds_now)
        assert kinds_now[-2:] == ["close", "own"]

    def test_where_the_close_stands_elsewhere_it_is_added_at_the_end(self, as_instructor, tonight):
        send(as_instructor, tonight, press=f"up-{place(as_instructor, tonight, 'close')}")
        send(as_instructor, tonight, press="add", title_more="announcements")
        assert order(tonight)[-1] == "own"

    def test_a_second_writer_is_told_and_what_they_typed_stays(self, as_instructor, tonight, instructor):
        late = as_instructor.get(address(tonight)).context["page"]
        at = place(as_instructor, tonight, "new")
        send(as_instructor, tonight, press="down-0")
        answer = as_instructor.post(address(tonight), form(late, **{f"minutes-{at}": "20"}))
        text = answer.content.decode()
        assert "Somebody changed this sheet while you had it open." in text
        assert 'value="20"' in text
        assert order(tonight)[0] == "warm_up"
        as_instructor.post(address(tonight), form(answer.context["page"]))
        assert minutes_of(tonight, "new") == 20
        assert order(tonight)[0] == "arrive"

    def test_changes_taken_back_in_between_are_noticed_too(self, tonight, instructor):
        segments = list(spoken_of(segments_of(Evening(60)), ()))[:1]
        change_sheet(lesson=tonight, version=0, segments=segments, figures={}, by=instructor)
        change_sheet(lesson=tonight, version=1, segments=(), figures={}, by=instructor)
        for stale in (0, 1):
            with pytest.raises(Overtaken):
                change_sheet(lesson=tonight, version=stale, segments=segments, figures={}, by=instructor)

    def test_a_row_the_plan_put_in_meanwhile_joins_what_was_typed(self, as_instructor, tonight):
        late = as_instructor.get(address(tonight)).context["page"]
        plan = tonight.course.plans.get()
        fan = FigureFactory(level=tonight.course.levels.get(), name="fan", minutes_to_introduce=8)
        PlanFigureFactory(plan=plan, figure=fan, new_in=tonight)
        as_instructor.post(address(tonight), form(late, press="out-0"))
        titles = [row.segment.title for row in run_sheet(tonight).rows]
        assert "New: fan" in titles
        assert "Arrive and register" not in titles

    def test_a_lesson_written_up_or_cancelled_keeps_its_sheet(self, as_instructor, tonight, instructor):
        RecordFactory(lesson=tonight)
        assert as_instructor.get(address(tonight)).url == reverse("lessons:lesson", args=[tonight.pk])
        with pytest.raises(ValidationError, match="written up"):
            change_sheet(lesson=tonight, version=0, segments=(), figures={}, by=instructor)
        tonight.cancelled_at = dt.datetime(2026, 1, 19, 12, tzinfo=dt.UTC)
        with pytest.raises(ValidationError, match="cancelled"):
            change_sheet(lesson=tonight, version=0, segments=(), figures={}, by=instructor)

    def test_what_was_left_out_is_not_recorded_as_taught(self, as_instructor, tonight):
        at = place(as_instructor, tonight, "new")
        record = reverse("lessons:record", args=[tonight.pk])
        assert as_instructor.get(record).context["sheet"].rows[0].form["outcome"].value() == "introduced"
        send(as_instructor, tonight, press=f"out-{at}")
        assert as_instructor.get(record).context["sheet"].rows[0].form["outcome"].value() == "not_reached"

    def test_only_those_who_give_the_lesson_change_it(self, client, tonight):
        client.force_login(PersonFactory(roles=["instructor"]))
        assert client.get(address(tonight)).status_code == 403
        assert client.post(address(tonight), {"press": "as-planned"}).status_code == 403

    @pytest.mark.parametrize("press", ["up-99", "up-x", "", "drop", "back-0"])
    def test_a_button_that_is_none_changes_nothing(self, as_instructor, tonight, press):
        before = order(tonight)
        assert send(as_instructor, tonight, press=press).status_code == 302
        assert order(tonight) == before

    def test_a_segment_names_a_piece_of_the_schools_list_for_this_dance(self, as_instructor, tonight):
        dance = tonight.course.dance
        quick = PieceFactory(dance=dance, title="Brisk Tide", beats_per_minute=116)
        slow = PieceFactory(dance=dance, title="Low Tide", beats_per_minute=84, intro_beats=12)
        PieceFactory(title="of another dance")
        page = as_instructor.get(address(tonight)).context["page"]
        assert [key for key, _ in page.pieces] == [str(slow.pk), str(quick.pk)]
        assert [shown.row.kind for shown in page.page_rows if shown.is_danced] == [
            "warm_up",
            "new",
            "practice",
        ]
        at = place(as_instructor, tonight, "practice")
        send(as_instructor, tonight, **{f"music-{at}": str(slow.pk)})
        said = f"Low Tide, {84 // dance.beats_per_bar} bars a minute (84 beats). 12 beats go by before"
        for way in ("lessons:lesson", "lessons:live"):
            shown = as_instructor.get(reverse(way, args=[tonight.pk])).content.decode()
            assert (said if way == "lessons:lesson" else "Low Tide") in shown
        assert order(tonight) == ["arrive", "warm_up", "new", "practice", "close"]

    def test_the_piece_goes_with_its_segment_and_can_be_taken_off(self, as_instructor, tonight):
        piece = PieceFactory(dance=tonight.course.dance)
        at = place(as_instructor, tonight, "practice")
        send(as_instructor, tonight, **{f"music-{at}": str(piece.pk)}, press=f"up-{at}")
        assert SheetSegment.objects.get(kind="practice").piece == piece
        send(as_instructor, tonight, **{f"music-{at - 1}": ""})
        assert not SheetSegment.objects.filter(piece__isnull=False).exists()

    @pytest.mark.parametrize("sent", ["999999", "x", "²"])
    def test_a_piece_that_is_none_of_this_dance_is_not_written(self, as_instructor, tonight, sent):
        at = place(as_instructor, tonight, "practice")
        send(as_instructor, tonight, **{f"music-{at}": sent})
        assert not SheetSegment.objects.filter(piece__isnull=False).exists()

    def test_a_piece_taken_from_the_list_leaves_the_tempo(self, as_instructor, tonight):
        piece = PieceFactory(dance=tonight.course.dance, title="Low Tide")
        at = place(as_instructor, tonight, "practice")
        send(as_instructor, tonight, **{f"music-{at}": str(piece.pk)})
        piece.delete()
        shown = as_instructor.get(reverse("lessons:lesson", args=[tonight.pk])).content.decode()
        assert "Low Tide" not in shown

    @pytest.mark.parametrize("size", [1, 4])
    def test_it_costs_the_same_whatever_the_size(
        self, as_instructor, tonight, size, django_assert_num_queries
    ):
        plan, level = tonight.course.plans.get(), tonight.course.levels.get()
        for _ in range(size):
            PlanFigureFactory(
                plan=plan, figure=FigureFactory(level=level, minutes_to_introduce=4), new_in=tonight
            )
        send(as_instructor, tonight, press="down-0")
        with django_assert_num_queries(23):
            as_instructor.get(address(tonight))
