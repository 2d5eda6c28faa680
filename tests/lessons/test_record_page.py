"""What we did: filled in as planned, changed where it went otherwise, and never lost to a second writer."""

import datetime as dt

import pytest
from django.urls import reverse

from lessons.models import (
    Attendance,
    LessonRecord,
    PlanFigure,
    PlanIntroduction,
)
from tests.factories import (
    EnrolmentFactory,
    FigureFactory,
    LevelFactory,
    PersonFactory,
    PlanFigureFactory,
    RecordFactory,
)
from tests.lessons.recorded import address, filled, outcomes

TONIGHT = dt.date(2026, 1, 20)


pytestmark = pytest.mark.usefixtures("after_tonight")


@pytest.fixture
def box(course, plan, lessons, tonight):
    figure = FigureFactory(level=course.levels.get(), name="box step")
    PlanFigureFactory(plan=plan, figure=figure, new_in=lessons[1], again_in=[tonight])
    RecordFactory(lesson=lessons[1], taught={figure: "introduced"})
    return figure


def test_the_form_stands_as_planned(as_instructor, tonight, whisk, box):
    sheet = as_instructor.get(address(tonight)).context["sheet"]
    assert {row.figure.name: row.form["outcome"].value() for row in sheet.rows} == {
        "box step": "reviewed",
        "whisk": "introduced",
    }


def test_a_part_that_is_not_the_last_is_to_be_finished_later(as_instructor, lessons, tonight, whisk):
    PlanFigure.objects.update(parts=2)
    PlanIntroduction.objects.create(plan_figure=PlanFigure.objects.get(), part=1, lesson=lessons[3])
    sheet = as_instructor.get(address(tonight)).context["sheet"]
    assert [row.form["outcome"].value() for row in sheet.rows] == ["finish_later"]


def test_what_was_done_is_written(as_instructor, instructor, course, tonight, whisk, box):
    ada = EnrolmentFactory(course=course, role="F").person
    EnrolmentFactory(course=course, role="L")
    data = filled(
        {whisk: ("finish_later", "shaky", 6), box: ("not_reached", "", "")},
        present=[ada],
        unnamed_guests=2,
        note="start from the corner",
    )
    answer = as_instructor.post(address(tonight), data)
    assert answer.url == reverse("lessons:lesson", args=[tonight.pk])
    assert outcomes(tonight) == {
        "whisk": ("finish_later", "shaky", 6),
        "box step": ("not_reached", "", None),
    }
    record = LessonRecord.objects.get(lesson=tonight)
    assert (record.unnamed_guests, record.note, record.recorded_by) == (
        2,
        "start from the corner",
        instructor,
    )
    assert [(row.person, row.role) for row in Attendance.objects.all()] == [(ada, "F")]


def test_minutes_still_needed_count_only_for_what_is_to_be_finished(as_instructor, tonight, whisk):
    as_instructor.post(address(tonight), filled({whisk: ("introduced", "", 6)}))
    assert outcomes(tonight) == {"whisk": ("introduced", "", None)}


def test_everybody_enrolled_is_ticked_and_sorted_by_role(as_instructor, course, tonight):
    EnrolmentFactory(course=course, role="L", person=PersonFactory(name="Stellan Frome"))
    EnrolmentFactory(course=course, role="F", person=PersonFactory(name="Thea Winnow"))
    EnrolmentFactory(course=course, role="F", joined=TONIGHT + dt.timedelta(days=1))
    EnrolmentFactory(course=course, role="F", left=TONIGHT)
    groups = as_instructor.get(address(tonight)).context["sheet"].groups
    assert [(words, [(who.person.name, who.was_there) for who in dancers]) for words, dancers in groups] == [
        ("leaders", [("Stellan Frome", True)]),
        ("followers", [("Thea Winnow", True)]),
    ]


def test_a_figure_done_though_not_planned_joins_the_list_and_nothing_typed_is_lost(
    as_instructor, course, tonight, whisk
):
    fan = FigureFactory(level=course.levels.get(), name="fan")
    data = filled({whisk: ("not_reached", "", "")}, note="half typed", extra=fan.pk, add="1")
    answer = as_instructor.post(address(tonight), data)
    text = answer.content.decode()
    assert "half typed" in text
    rows = {row.figure.name: row.form["outcome"].value() for row in answer.context["sheet"].rows}
    assert rows == {"whisk": "not_reached", "fan": "introduced"}
    assert not LessonRecord.objects.exists()


def test_the_page_comes_back_at_the_figure_that_was_added(as_instructor, course, tonight, whisk):
    assert f'formaction="{address(tonight)}#added"' in as_instructor.get(address(tonight)).content.decode()
    fan = FigureFactory(level=course.levels.get(), name="fan")
    text = as_instructor.post(
        address(tonight), filled({whisk: ("introduced", "", "")}, extra=fan.pk, add="1")
    ).content.decode()
    assert text.index('id="added"') < text.index("fan", text.index('id="added"'))
    assert text.count('id="added"') == 1


def test_adding_none_is_answered_where_it_was_asked(as_instructor, tonight, whisk):
    answer = as_instructor.post(address(tonight), filled({whisk: ("introduced", "", "")}, extra="", add="1"))
    text = answer.content.decode()
    assert '<div class="add-figure" id="added"' in text
    assert "Choose a figure from the list first" in text


def test_a_figure_chosen_but_not_added_is_asked_about(as_instructor, course, tonight, whisk):
    fan = FigureFactory(level=course.levels.get(), name="fan")
    answer = as_instructor.post(address(tonight), filled({whisk: ("introduced", "", "")}, extra=fan.pk))
    assert not LessonRecord.objects.exists()
    text = answer.content.decode()
    assert "fan: Say what became of it." in text
    assert f'<a href="#row-{fan.pk}">' in text
    row = next(row for row in answer.context["sheet"].rows if row.figure == fan)
    assert row.form["outcome"].value() is None

    said = filled({whisk: ("introduced", "", ""), fan: ("not_done", "", "")})
    as_instructor.post(address(tonight), said)
    assert list(outcomes(tonight)) == ["whisk"]


def test_a_figure_recorded_by_mistake_can_be_taken_out_again(as_instructor, course, tonight, whisk):
    fan = FigureFactory(level=course.levels.get(), name="fan")
    RecordFactory(lesson=tonight, taught={whisk: "introduced", fan: "introduced"})
    sheet = as_instructor.get(address(tonight)).context["sheet"]
    extra = next(row for row in sheet.rows if row.figure == fan)
    assert ("not_done", "not done after all") in extra.form.fields["outcome"].choices
    data = filled({whisk: ("introduced", "", ""), fan: ("not_done", "solid", "")}, version=1)
    as_instructor.post(address(tonight), data)
    assert list(outcomes(tonight)) == ["whisk"]
    again = as_instructor.get(address(tonight)).context["sheet"]
    assert [row.figure for row in again.rows] == [whisk]
    assert fan in again.rest.fields["extra"].queryset


def test_what_was_planned_has_no_such_way_out(as_instructor, tonight, whisk):
    answer = as_instructor.post(address(tonight), filled({whisk: ("not_done", "", "")}))
    assert "Choose one of those below." in answer.content.decode()
    assert not LessonRecord.objects.exists()


def test_enter_in_a_field_records(as_instructor, tonight, whisk):
    """A browser presses the first button of the form."""
    text = as_instructor.get(address(tonight)).content.decode()
    form = text[text.index('<form method="post" class="record"') :]
    first = form[form.index("<button") : form.index("</button>")]
    assert "Record it" in first
    assert "name=" not in first


def test_before_its_hour_a_lesson_is_recorded_only_if_it_has_taken_place(
    as_instructor, wall_clock, tonight, whisk
):
    wall_clock("08:30")
    assert "This lesson begins at 19:30." in as_instructor.get(address(tonight)).content.decode()
    data = filled({whisk: ("introduced", "shaky", "")}, note="typed early")
    text = as_instructor.post(address(tonight), data).content.decode()
    assert not LessonRecord.objects.exists()
    assert '<a href="#id_early">It has not begun yet.</a>' in text
    assert text.count("This lesson begins at 19:30.") == 1, "at the field, which stands just under the list"
    assert "typed early" in text
    as_instructor.post(address(tonight), data | {"early": "on"})
    assert outcomes(tonight) == {"whisk": ("introduced", "shaky", None)}


def test_an_early_record_is_corrected_without_being_asked_again(as_instructor, wall_clock, tonight, whisk):
    wall_clock("08:30")
    as_instructor.post(address(tonight), filled({whisk: ("introduced", "", "")}, early="on"))
    assert 'name="early"' not in as_instructor.get(address(tonight)).content.decode()
    corrected = filled({whisk: ("finish_later", "", "")}, version=1)
    assert as_instructor.post(address(tonight), corrected).status_code == 302
    assert outcomes(tonight) == {"whisk": ("finish_later", "", None)}


def test_from_its_hour_on_nothing_is_asked(as_instructor, wall_clock, tonight, whisk):
    wall_clock("19:30")
    assert 'name="early"' not in as_instructor.get(address(tonight)).content.decode()
    as_instructor.post(address(tonight), filled({whisk: ("introduced", "", "")}))
    assert LessonRecord.objects.exists()


def test_what_was_planned_stays_so_once_it_is_written_up(
    as_instructor, course, lessons, plan, tonight, whisk
):
    """Neither an earlier record that is written later nor a change of the plan moves it."""
    box = FigureFactory(level=course.levels.get(), name="box step")
    PlanFigureFactory(plan=plan, figure=box, new_in=lessons[1], again_in=[tonight])
    page = reverse("lessons:lesson", args=[tonight.pk])

    def sheet():
        rows = as_instructor.get(page).context["sheet"].rows
        return [(row.starts, row.minutes, row.segment.title, row.says, row.note) for row in rows]

    before = sheet()
    as_instructor.post(address(tonight), filled({whisk: ("finish_later", "", 6), box: ("reviewed", "", "")}))
    RecordFactory(lesson=lessons[1], taught={whisk: "introduced"}, note="never seen that evening")
    PlanFigure.objects.get(figure=box).reviews.all().delete()
    assert sheet() == before
    rows = as_instructor.get(address(tonight)).context["sheet"].rows
    assert [(row.figure.name, row.how) for row in rows] == [("box step", "review"), ("whisk", "new")]


def test_a_figure_of_another_dance_is_not_recorded(as_instructor, tonight, whisk):
    foreign = FigureFactory(level=LevelFactory())
    as_instructor.post(address(tonight), filled({whisk: ("introduced", "", "")}, extra=foreign.pk))
    assert foreign.name not in outcomes(tonight)


def test_the_record_can_be_changed_later(as_instructor, course, tonight, whisk):
    guest = PersonFactory(name="Piet Lammas")
    record = RecordFactory(lesson=tonight, taught={whisk: "introduced"}, note="as it was")
    Attendance.objects.create(record=record, person=guest, role="L")
    seen = as_instructor.get(address(tonight)).context["sheet"]
    assert seen.version == 1
    assert [who.person.name for who in seen.dancers] == ["Piet Lammas"]
    as_instructor.post(
        address(tonight),
        filled({whisk: ("not_reached", "", "")}, version=1, present=[guest], note="corrected"),
    )
    record.refresh_from_db()
    assert (record.version, record.note, outcomes(tonight)["whisk"][0]) == (2, "corrected", "not_reached")
    assert Attendance.objects.get().person == guest


def test_a_second_writer_sees_both_and_loses_nothing(client, director, as_instructor, course, tonight, whisk):
    fan = FigureFactory(level=course.levels.get(), name="fan")
    theirs = RecordFactory(lesson=tonight, taught={whisk: "introduced", fan: "introduced"}, note="theirs")
    mine = filled({whisk: ("finish_later", "shaky", 5)}, note="mine", version="")
    answer = as_instructor.post(address(tonight), mine)
    text = answer.content.decode()
    assert "Somebody recorded this lesson while you had this page open." in text
    assert "Their note: theirs" in text
    assert ">\nmine</textarea>" in text
    assert "They recorded: introduced" in text
    sheet = answer.context["sheet"]
    rows = {row.figure.name: row.form["outcome"].value() for row in sheet.rows}
    assert rows == {"whisk": "finish_later", "fan": "introduced"}
    theirs.refresh_from_db()
    assert (theirs.note, theirs.version) == ("theirs", 1)

    again = mine | {"version": sheet.version}
    assert as_instructor.post(address(tonight), again).status_code == 302
    theirs.refresh_from_db()
    assert (theirs.note, theirs.version) == ("mine", 2)


@pytest.mark.parametrize("size", [2, 9])
def test_the_form_costs_the_same_whatever_the_size(
    as_instructor, course, lessons, plan, tonight, size, django_assert_num_queries
):
    for _ in range(size):
        PlanFigureFactory(plan=plan, figure=FigureFactory(level=course.levels.get()), new_in=tonight)
        EnrolmentFactory(course=course)
    with django_assert_num_queries(24):
        as_instructor.get(address(tonight))
