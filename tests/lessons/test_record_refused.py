"""What cannot be recorded is said in a sentence at its place, and nothing typed is lost."""

import datetime as dt

import pytest
from django.utils import timezone

from lessons.models import (
    LessonInstructor,
    LessonRecord,
)
from tests.factories import (
    PersonFactory,
)
from tests.lessons.recorded import address, filled

pytestmark = pytest.mark.usefixtures("after_tonight")


def test_a_lesson_not_yet_begun_is_answered_in_a_sentence(as_instructor, lessons):
    text = as_instructor.get(address(lessons[3])).content.decode()
    assert "This lesson is on Tuesday 27 January." in text
    assert "<fieldset" not in text
    answer = as_instructor.post(address(lessons[3]), filled({}))
    assert answer.status_code == 200
    assert not LessonRecord.objects.exists()


@pytest.mark.parametrize("gone", ["moved", "cancelled"])
def test_what_was_typed_stays_where_the_lesson_was_moved_or_cancelled_meanwhile(
    as_instructor, tonight, whisk, gone
):
    if gone == "moved":
        tonight.date += dt.timedelta(days=2)
    else:
        tonight.cancelled_at = timezone.now()
    tonight.save()
    mine = filled({whisk: ("finish_later", "shaky", 5)}, note="start from the corner")
    text = as_instructor.post(address(tonight), mine).content.decode()
    assert "start from the corner</textarea>" in text
    assert "Not recorded yet." in text
    said = "Record it once it has been given." if gone == "moved" else "there is nothing to record."
    assert text.count(said) == 1, "in the note over the form, and not once more above it"
    assert not LessonRecord.objects.exists()


def test_a_cancelled_lesson_is_answered_in_a_sentence(as_instructor, tonight):
    tonight.cancelled_at = dt.datetime(2026, 1, 19, 12, tzinfo=dt.UTC)
    tonight.save()
    assert "nothing to record" in as_instructor.get(address(tonight)).content.decode()
    assert "cancelled" in as_instructor.post(address(tonight), filled({})).content.decode()
    assert not LessonRecord.objects.exists()


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"unnamed_guests": -1}, "There cannot be fewer guests than none."),
        ({"unnamed_guests": "many"}, "Guests are counted in a whole number."),
        ({"unnamed_guests": 501}, "More than 500 guests fit in no hall."),
        ({"present": ["999999"]}, "does not dance in this course any more"),
        ({"note": "x" * 2001}, "The note has 2001 characters; 2000 fit. Nothing was cut off."),
    ],
)
def test_what_cannot_be_is_said_at_its_field(as_instructor, tonight, whisk, wrong, sentence):
    data = filled({whisk: ("introduced", "", "")}) | wrong
    answer = as_instructor.post(address(tonight), data)
    text = answer.content.decode()
    field = answer.context["sheet"].rest[next(iter(wrong))].auto_id
    assert f'<a href="#{field}">' in text
    # At the top, and at the field.
    assert text.count(sentence) == 2
    assert not LessonRecord.objects.exists()


def test_a_note_is_never_cut_off_by_the_browser(as_instructor, tonight, whisk):
    text = as_instructor.get(address(tonight)).content.decode()
    assert "maxlength" not in text[text.index("<textarea") : text.index("</textarea>")]
    assert "in 2000 characters" in text


def test_an_empty_number_of_guests_means_none(as_instructor, tonight, whisk):
    as_instructor.post(address(tonight), filled({whisk: ("introduced", "", "")}, unnamed_guests=""))
    assert LessonRecord.objects.get().unnamed_guests == 0


@pytest.mark.parametrize("owed", [0, -3, 241, "half", "8.5"])
def test_minutes_that_cannot_be_are_said_in_a_sentence(as_instructor, tonight, whisk, owed):
    text = as_instructor.post(address(tonight), filled({whisk: ("finish_later", "", owed)})).content.decode()
    assert f'<li><a href="#row-{whisk.pk}">whisk: ' in text
    assert "Ensure" not in text
    assert not LessonRecord.objects.exists()


@pytest.mark.parametrize(
    ("outcome", "went", "owed"),
    [("", "", ""), ("danced", "", ""), ("introduced", "fine", ""), ("finish_later", "", 0)],
)
def test_an_outcome_nobody_offered_is_refused(as_instructor, tonight, whisk, outcome, went, owed):
    answer = as_instructor.post(address(tonight), filled({whisk: (outcome, went, owed)}))
    assert 'class="error"' in answer.content.decode()
    assert not LessonRecord.objects.exists()


def test_an_empty_post_is_answered(as_instructor, tonight, whisk):
    assert as_instructor.post(address(tonight), {}).status_code == 200
    assert not LessonRecord.objects.exists()


def test_only_who_gives_the_lesson_and_the_director_write(client, director, instructor, student, tonight):
    cover = PersonFactory(roles=["instructor"])
    LessonInstructor.objects.create(lesson=tonight, person=cover, covers=True)
    for person, status in ((director, 200), (cover, 200), (instructor, 403), (student, 404)):
        client.force_login(person)
        assert client.get(address(tonight)).status_code == status
        if status != 200:
            assert client.post(address(tonight), filled({})).status_code == status
    assert not LessonRecord.objects.exists()


def test_who_is_not_signed_in_is_asked_to(client, tonight):
    assert client.post(address(tonight), filled({})).url.startswith("/sign-in/")


def test_there_is_no_other_way_to_write(as_instructor, tonight):
    assert as_instructor.put(address(tonight)).status_code == 405
    assert as_instructor.delete(address(tonight)).status_code == 405
