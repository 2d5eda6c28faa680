"""What a student keeps for themselves about a figure: marks, a note; and whose part their charts show."""

import datetime as dt

import pytest
from django.urls import reverse

from curriculum.models import StepChart
from curriculum.whose_part import role_shown
from lessons.models import Enrolment, OwnMark, OwnNote
from school import clock
from tests.factories import CourseFactory, EnrolmentFactory, FigureFactory, LevelFactory, PersonFactory


@pytest.fixture
def whisk(school, student):
    figure = FigureFactory(level=LevelFactory(rank=1), name="whisk")
    EnrolmentFactory(course=CourseFactory(level=figure.level), person=student, role="F")
    return figure


@pytest.fixture
def as_student(client, student, whisk):
    client.force_login(student)
    return client


def mark(client, figure, role="F", value="easy"):
    address = reverse("lessons:own-mark", args=[figure.pk])
    return client.post(address, {"role": role, "mark": value}, follow=True)


def note(client, figure, text, version=0):
    return client.post(reverse("lessons:own-note", args=[figure.pk]), {"text": text, "version": version})


def figure_page(client, figure):
    return client.get(reverse("curriculum:figure", args=[figure.pk])).content.decode()


def test_a_figure_is_marked_in_each_role_and_marked_anew(as_student, student, whisk):
    mark(as_student, whisk, "F", "thinking")
    mark(as_student, whisk, "L", "not_yet")
    mark(as_student, whisk, "F", "easy")
    assert set(OwnMark.objects.values_list("person", "role", "mark")) == {
        (student.pk, "F", "easy"),
        (student.pk, "L", "not_yet"),
    }


def test_a_mark_pressed_again_is_taken_away(as_student, whisk):
    mark(as_student, whisk)
    text = figure_page(as_student, whisk)
    assert 'value="" data-mark="easy" aria-pressed="true">without thinking' in text
    assert "Touch the mark that is lit to take it away." in text
    answer = mark(as_student, whisk, value="")
    assert "Your mark is taken away." in answer.content.decode()
    assert not OwnMark.objects.exists()


class TestADeviceThatWaitedForTheNetwork:
    """It sends by itself what it has kept, says for how long, and is answered in JSON."""

    @pytest.fixture
    def sent(self, as_student, whisk):
        def send(value, *, waited=0, role="F"):
            said = {"role": role, "mark": value, "waited": waited}
            address = reverse("lessons:own-mark", args=[whisk.pk])
            return as_student.post(address, said, headers={"X-Freefoot-Device": "1"}).json()

        return send

    def test_is_told_where_the_mark_stands(self, sent, whisk):
        assert sent("easy") == {"goes_to": f"{figure_address(whisk)}#mine"}
        assert OwnMark.objects.get().mark == "easy"

    def test_an_hours_old_mark_is_of_an_hour_ago(self, sent):
        sent("easy", waited=3600)
        assert clock.now() - OwnMark.objects.get().marked_at >= dt.timedelta(hours=1)

    @pytest.mark.parametrize("older", ["not_yet", ""])
    def test_what_was_marked_later_elsewhere_stands(self, as_student, sent, whisk, older):
        mark(as_student, whisk, value="easy")
        assert "goes_to" in sent(older, waited=3600)
        assert OwnMark.objects.get().mark == "easy"

    def test_what_was_marked_earlier_elsewhere_gives_way(self, student, sent, whisk):
        before = clock.now() - dt.timedelta(hours=2)
        OwnMark.objects.create(person=student, figure=whisk, role="F", mark="easy", marked_at=before)
        sent("not_yet", waited=3600)
        assert OwnMark.objects.get().mark == "not_yet"
        sent("", waited=0)
        assert not OwnMark.objects.exists()

    @pytest.mark.parametrize("waited", ["", "-5", "soon", "9" * 17, "9" * 400])
    def test_a_time_nobody_can_have_waited_loses_no_mark(self, sent, waited):
        sent("easy", waited=waited)
        assert OwnMark.objects.get().mark == "easy"

    def test_is_told_what_is_no_mark(self, sent):
        assert sent("perfect") == {"asks": "Choose one of the marks."}
        assert sent("easy", role="X") == {"asks": "Choose leader or follower."}
        assert not OwnMark.objects.exists()


def test_when_a_note_was_written_is_kept(as_student, whisk):
    note(as_student, whisk, "small feet")
    first = OwnNote.objects.get().written_at
    note(as_student, whisk, "smaller feet", version=1)
    assert OwnNote.objects.get().written_at > first


@pytest.mark.parametrize(("role", "value"), [("X", "easy"), ("", "easy"), ("F", "perfect")])
def test_a_wrong_mark_is_refused_with_a_sentence(as_student, whisk, role, value):
    assert "Choose" in mark(as_student, whisk, role, value).content.decode()
    assert not OwnMark.objects.exists()


def test_a_note_is_written_changed_and_emptied(as_student, whisk):
    note(as_student, whisk, "small feet")
    assert "small feet" in figure_page(as_student, whisk)
    note(as_student, whisk, "smaller feet", version=1)
    assert OwnNote.objects.get().text == "smaller feet"
    note(as_student, whisk, "", version=2)
    assert not OwnNote.objects.exists()


def test_a_note_too_long_keeps_what_was_typed(as_student, whisk):
    answer = note(as_student, whisk, "a" * 2001)
    assert "The note has 2001 characters; 2000 fit. Nothing was cut off." in answer.content.decode()
    assert "a" * 2001 in answer.content.decode()
    assert not OwnNote.objects.exists()


@pytest.mark.parametrize("seen", [0, 1])
def test_what_was_written_on_another_device_is_shown_beside_it(as_student, student, whisk, seen):
    OwnNote.objects.create(person=student, figure=whisk, text="from the phone", version=2)
    answer = note(as_student, whisk, "from the desk", version=seen)
    text = answer.content.decode()
    assert "from the phone" in text
    assert ">\nfrom the desk</textarea>" in text
    assert OwnNote.objects.get().text == "from the phone"
    note(as_student, whisk, "from both", version=answer.context["form"]["version"].value())
    assert OwnNote.objects.get().text == "from both"


class TestANoteKeptOnADevice:
    """Sent by the device when the network is back, answered in JSON."""

    @pytest.fixture
    def sent(self, as_student, whisk):
        def send(text, version=0):
            address = reverse("lessons:own-note", args=[whisk.pk])
            told = {"text": text, "version": version, "submission": "one"}
            return as_student.post(address, told, headers={"X-Freefoot-Device": "1"}).json()

        return send

    @pytest.mark.parametrize("text", ["small feet", ""])
    def test_is_written_once_however_often_it_is_sent(self, sent, student, whisk, text):
        OwnNote.objects.create(person=student, figure=whisk, text="large feet", version=3)
        for _ in range(2):
            assert sent(text, version=3) == {"goes_to": f"/figures/{whisk.pk}/#mine"}
        assert [(note.text, note.version) for note in OwnNote.objects.all()] == ([(text, 4)] if text else [])

    def test_asks_where_it_was_changed_elsewhere_meanwhile(self, sent, as_student, student, whisk):
        OwnNote.objects.create(person=student, figure=whisk, text="from the desk")
        assert sent("from the phone")["asks"].startswith("You changed this note on another device meanwhile.")
        told = {"text": "from the phone", "version": 0, "submission": "one"}
        looked_at = as_student.post(reverse("lessons:own-note", args=[whisk.pk]), told).content.decode()
        assert 'data-answers="one"' in looked_at
        assert "from the desk" in looked_at
        assert "from the phone" in looked_at
        assert OwnNote.objects.get().text == "from the desk"

    def test_asks_where_it_is_too_long(self, sent):
        assert sent("a" * 2001) == {"asks": "The note has 2001 characters; 2000 fit. Nothing was cut off."}


def test_nobody_else_reads_marks_or_notes(as_student, client, whisk, director, instructor):
    mark(as_student, whisk)
    note(as_student, whisk, "my own secret")
    fellow = PersonFactory(roles=["student"])
    EnrolmentFactory(course=whisk.level.courses.get(), person=fellow)
    for reader in (director, instructor, fellow):
        client.force_login(reader)
        for address in (figure_address(whisk), reverse("lessons:own-note", args=[whisk.pk])):
            text = client.get(address).content.decode()
            assert "my own secret" not in text
            assert 'data-mark="easy" aria-pressed="true"' not in text


def figure_address(figure):
    return reverse("curriculum:figure", args=[figure.pk])


def test_a_figure_above_ones_level_takes_no_marks(as_student, student, whisk):
    above = FigureFactory(level=LevelFactory(dance=whisk.dance, rank=9))
    assert mark(as_student, above).status_code == 404
    assert note(as_student, above, "mine").status_code == 404
    assert not OwnMark.objects.exists()


class TestChartsAs:
    @pytest.fixture
    def charted(self, whisk):
        StepChart.objects.create(figure=whisk)
        return whisk

    def choose(self, client, role, back="/"):
        return client.post(reverse("school:charts-as"), {"charts_as": role, "next": back})

    def test_once_chosen_every_chart_shows_that_role(self, as_student, charted):
        for role, shown in (("leader", "leader"), ("both", "")):
            answer = self.choose(as_student, role, figure_address(charted))
            assert answer.url == figure_address(charted)
            assert as_student.get(figure_address(charted)).context["page"].role == shown

    def test_reading_a_figures_page_keeps_nothing(self, as_student, charted, student):
        as_student.get(figure_address(charted), {"role": "leader", "charts_as": "leader"})
        student.refresh_from_db()
        assert student.charts_as == ""

    def test_who_chose_nothing_sees_the_role_they_dance(self, as_student, student, charted):
        assert as_student.get(figure_address(charted)).context["page"].role == "follower"
        EnrolmentFactory(course=CourseFactory(), person=student, role="L")
        assert as_student.get(figure_address(charted)).context["page"].role == "follower"

    def test_in_a_dance_they_are_in_no_course_of_they_see_the_one_role_of_all_courses(
        self, as_student, student, charted
    ):
        assert role_shown(student, LevelFactory().dance_id) == "follower"
        EnrolmentFactory(course=CourseFactory(), person=student, role="L")
        assert role_shown(student, LevelFactory().dance_id) == ""

    def test_who_dances_both_roles_of_the_dance_sees_both(self, student, whisk):
        Enrolment.objects.filter(person=student).update(dances_both=True)
        assert role_shown(student, whisk.dance_id) == ""

    @pytest.mark.parametrize("ended", [{"left": dt.date(2026, 1, 7)}, {"waiting": True}])
    def test_what_they_dance_no_more_or_not_yet_says_nothing(self, student, whisk, ended):
        Enrolment.objects.filter(person=student).update(**ended)
        assert role_shown(student, whisk.dance_id) == ""

    def test_my_level_says_the_same(self, as_student, whisk):
        text = as_student.get(f"/my-level/{whisk.level.courses.get().pk}/").content.decode()
        assert 'value="follower" aria-pressed="true"' in text

    def test_what_is_no_role_is_refused(self, as_student, student):
        assert self.choose(as_student, "judge").status_code == 400
        student.refresh_from_db()
        assert student.charts_as == ""

    @pytest.mark.parametrize(
        "back", ["https://elsewhere.example/", "//elsewhere.example/", "javascript:1", ""]
    )
    def test_it_leads_back_to_this_site_only(self, as_student, back):
        assert self.choose(as_student, "both", back).url == reverse("lessons:home")
