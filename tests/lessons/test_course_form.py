"""Making and changing a course: what follows is said first, and nothing typed is lost."""

import datetime as dt

import pytest
from django.urls import reverse

from lessons.evening.cast import cast_of
from lessons.models import Course, LessonSession
from school.models import Closure, Term
from tests.factories import (
    CourseFactory,
    DanceFactory,
    LevelFactory,
    PersonFactory,
    RoomFactory,
    RoutineFactory,
    TermFactory,
    weekly_lessons,
)
from tests.lessons.planned import TODAY, planned

pytestmark = pytest.mark.usefixtures("story_day")


class FormData:
    """What the form of a course sends."""

    def data(self, term, level, *meetings, **more):
        data = {
            "term": term.pk,
            "name": "Waltz for beginners",
            "key": "WB",
            "levels": [level.pk],
            "kind": "group",
            "interval_weeks": 1,
            "places_leaders": 8,
            "places_followers": 8,
            "allowed_difference": 2,
            "meetings-TOTAL_FORMS": max(len(meetings), 2),
            "meetings-INITIAL_FORMS": 0,
            **{f"meetings-{number}-minutes": 60 for number in range(max(len(meetings), 2))},
        }
        for number, meeting in enumerate(meetings):
            data |= {f"meetings-{number}-{field}": value for field, value in meeting.items()}
        return data | more

    def meeting(self, weekday=1, **more):
        return {"weekday": weekday, "start": "19:30", "minutes": 60, "room": RoomFactory().pk} | more

    def save(self, client, url, data):
        """Send it, read what follows, and send it again as it then stands."""
        asked = client.post(url, data)
        if asked.status_code == 302:
            return asked
        form = asked.context["form"]
        assert not form.errors
        again = data | {"seen": form["seen"].value()}
        return client.post(url, again | ({"move_lessons": "on"} if form["move_lessons"].value() else {}))


class TestMakingACourse(FormData):
    def test_what_a_course_needs_is_asked_for_first(self, as_director):
        shown = as_director.get(reverse("lessons:course-new")).content.decode()
        for name in ("school:room-new", "curriculum:dance-new", "lessons:term-new"):
            assert reverse(name) in shown

    @pytest.fixture
    def term(self):
        return TermFactory()

    @pytest.fixture
    def level(self):
        return LevelFactory(dance=DanceFactory(name="waltz"))

    def test_it_lays_out_its_lessons_on_its_weekdays(self, as_director, instructor, term, level):
        data = self.data(term, level, self.meeting(1), self.meeting(3), instructors=[instructor.pk])
        answer = self.save(as_director, reverse("lessons:course-new"), data)
        course = Course.objects.get(key="WB")
        assert answer.url == reverse("lessons:course", args=[course.pk])
        assert course.dance.name == "waltz"
        assert {row.date.weekday() for row in course.lessons.all()} == {1, 3}
        assert course.lessons.count() == 24
        assert [row.person for row in course.courseinstructor_set.all()] == [instructor]

    @pytest.mark.parametrize("lines", [15, "9" * 30])
    def test_more_meetings_than_a_week_has_are_said_and_not_laid_out(self, as_director, term, level, lines):
        """Else a single request could ask for as many as it likes."""
        data = self.data(term, level, self.meeting(1)) | {"meetings-TOTAL_FORMS": lines}
        answer = as_director.post(reverse("lessons:course-new"), data)
        assert "A course meets 14 times a week at most." in answer.content.decode()
        assert len(answer.context["meetings"].forms) == 14
        assert not Course.objects.exists()

    def test_made_in_the_middle_of_a_term_it_is_proposed_to_begin_today(self, as_director, term, level):
        shown = as_director.get(reverse("lessons:course-new"), {"term": term.pk})
        assert shown.context["form"]["first_lesson"].value() == dt.date.fromisoformat(TODAY)
        data = self.data(term, level, self.meeting(1), first_lesson=TODAY)
        assert as_director.post(reverse("lessons:course-new"), data).status_code == 302
        course = Course.objects.get(key="WB")
        assert course.lessons.in_order()[0].date == dt.date(2026, 2, 10)
        assert course.lessons.count() == 7

    def test_before_the_term_begins_no_first_lesson_is_proposed(self, as_director, settings, term):
        settings.TODAY = "2026-01-02"
        shown = as_director.get(reverse("lessons:course-new"), {"term": term.pk})
        assert shown.context["form"]["first_lesson"].value() is None

    def test_lessons_in_the_past_are_said_before_they_are_laid_out(self, as_director, term, level):
        data = self.data(term, level, self.meeting(1))
        asked = as_director.post(reverse("lessons:course-new"), data)
        assert "5 lessons are past already and will stand without a record." in asked.content.decode()
        assert not Course.objects.exists()

    def test_every_second_week_is_counted_from_the_first_lesson(self, as_director, term, level):
        data = self.data(term, level, self.meeting(1), first_lesson="2026-02-18", interval_weeks=2)
        as_director.post(reverse("lessons:course-new"), data)
        dates = [row.date for row in LessonSession.objects.in_order()]
        assert dates == [dt.date(2026, 2, 24), dt.date(2026, 3, 10), dt.date(2026, 3, 24)]

    @pytest.mark.parametrize("field", ["first_lesson", "newcomers_until"])
    def test_a_day_outside_the_term_is_refused_at_its_field(self, as_director, term, level, field):
        data = self.data(term, level, self.meeting(1)) | {field: "2031-01-01"}
        answer = as_director.post(reverse("lessons:course-new"), data)
        assert "Wednesday 1 January 2031 lies outside" in answer.context["form"].errors[field][0]

    def test_a_room_and_an_instructor_taken_are_read_first(self, as_director, instructor, term, level):
        room = RoomFactory(name="Long Room")
        other = CourseFactory(term=term, name="Swing", taught_by=[instructor])
        weekly_lessons(other, 11, room=room)
        meeting = self.meeting(1, start="20:00", room=room.pk)
        data = self.data(term, level, meeting, instructors=[instructor.pk], first_lesson=TODAY)
        asked = as_director.post(reverse("lessons:course-new"), data)
        shown = asked.content.decode()
        assert "Read this first" in shown
        assert (
            "Long Room is taken in 6 lessons, first on Tuesday 10 February: Swing, 19:30 to 20:30." in shown
        )
        assert "Tobin Marl teaches another course then in 6 lessons" in shown
        assert not Course.objects.filter(key="WB").exists()
        self.save(as_director, reverse("lessons:course-new"), data)
        assert Course.objects.get(key="WB").lessons.count() == 7

    @pytest.mark.parametrize(
        ("meeting", "said"),
        [
            ({"start": "03:00"}, "It begins at 03:00, before 07:00."),
            ({"start": "21:15"}, "Loft: Music off at 21:45."),
            ({}, "Loft: Too small for a dance that travels"),
            ({}, "Loft: People allowed: 10; with every place taken there are 16."),
        ],
    )
    def test_what_the_hall_says_against_it_is_read_first(self, as_director, term, level, meeting, said):
        level.dance.floor_use = "travels"
        level.dance.save()
        loft = RoomFactory(name="Loft", people=10, travelling_dances=False, music_off=dt.time(21, 45))
        data = self.data(term, level, self.meeting(1, room=loft.pk, **meeting), first_lesson=TODAY)
        assert said in as_director.post(reverse("lessons:course-new"), data).content.decode()

    def test_without_a_meeting_it_is_refused_and_nothing_typed_is_lost(self, as_director, term, level):
        answer = as_director.post(reverse("lessons:course-new"), self.data(term, level))
        shown = answer.content.decode()
        assert "Say at least one day on which the course meets." in shown
        assert 'value="Waltz for beginners"' in shown
        assert not Course.objects.exists()

    def test_levels_of_two_dances_are_refused_at_the_field(self, as_director, term, level):
        data = self.data(term, level, self.meeting(), levels=[level.pk, LevelFactory().pk])
        answer = as_director.post(reverse("lessons:course-new"), data)
        assert "A course teaches one dance." in answer.context["form"].errors["levels"][0]

    def test_a_routine_of_another_dance_is_refused_at_the_field(self, as_director, term, level):
        data = self.data(term, level, self.meeting(), routine=RoutineFactory().pk)
        answer = as_director.post(reverse("lessons:course-new"), data)
        assert "the course teaches waltz" in answer.context["form"].errors["routine"][0]

    def test_the_short_name_is_once_a_term(self, as_director, term, level):
        CourseFactory(term=term, key="WB", name="Waltz Basics")
        answer = as_director.post(reverse("lessons:course-new"), self.data(term, level, self.meeting()))
        assert "Waltz Basics has this short name already" in answer.context["form"].errors["key"][0]
        assert Course.objects.count() == 1

    @pytest.mark.parametrize(
        ("field", "value", "said"),
        [
            ("key", "W B!", "Write a short name of letters and digits, without spaces, e.g. WB1."),
            ("name", "", "Fill this in."),
            ("term", "", "Choose one."),
            ("interval_weeks", "0", "Write 1 or more."),
            ("places_leaders", "many", "This is not a whole number."),
            ("newcomers_until", "soon", "This is not a date."),
            ("key", "W" * 21, "At most 20 letters; these are 21."),
        ],
    )
    def test_it_refuses_in_the_school_s_words(self, as_director, term, level, field, value, said):
        data = self.data(term, level, self.meeting()) | {field: value}
        answer = as_director.post(reverse("lessons:course-new"), data)
        assert answer.context["form"].errors[field] == [said]
        assert "Not saved." in answer.content.decode()

    def test_a_meeting_without_its_hour_is_refused_at_the_field_together_with_the_rest(
        self, as_director, term, level
    ):
        data = self.data(term, level, self.meeting(start=""), name="")
        answer = as_director.post(reverse("lessons:course-new"), data)
        assert answer.context["meetings"].errors[0] == {"start": ["Give a time."]}
        assert "name" in answer.context["form"].errors

    def test_a_select_has_one_word_for_nothing(self, as_director, term, level):
        shown = as_director.get(reverse("lessons:course-new")).content.decode()
        assert "---------" not in shown
        assert '<option value="" selected>none</option>' in shown

    def test_what_it_goes_on_from_is_offered_by_dance(self, as_director, term, level):
        CourseFactory(term=term, level=level, name="Waltz 0")
        CourseFactory(name="Swing 0", level=LevelFactory(dance=DanceFactory(name="swing")))
        new = as_director.get(reverse("lessons:course-new")).content.decode()
        assert '<optgroup label="swing">' in new
        mine = CourseFactory(term=term, level=level)
        changed = as_director.get(reverse("lessons:course-edit", args=[mine.pk])).content.decode()
        assert "Waltz 0" in changed
        assert "Swing 0" not in changed

    def test_the_form_proposes_the_term_it_was_opened_from(self, as_director, term):
        other = Term.objects.create(name="Later", first_day=dt.date(2026, 5, 1), last_day=dt.date(2026, 6, 1))
        shown = as_director.get(reverse("lessons:course-new"), {"term": other.pk})
        assert shown.context["form"].initial["term"] == other


class TestChangingACourse(FormData):
    """The course meets on Tuesdays at 19:30; six lessons of the eleven are to come."""

    @pytest.fixture
    def course(self):
        made = planned(name="Waltz for beginners", key="WB")
        self.was = made.course.meetings.get()
        return made.course

    def change(self, course, *more_meetings, **more):
        """What the form sends for the course as it stands, but for `more`; `meets` changes its meeting."""
        meets = {
            "id": self.was.pk,
            "weekday": 1,
            "start": "19:30",
            "minutes": 60,
            "room": self.was.room_id,
        }
        meets |= more.pop("meets", {})
        data = self.data(course.term, course.levels.get(), meets, *more_meetings)
        return data | {"meetings-INITIAL_FORMS": 1, "version": course.version} | more

    def coming(self, course):
        lessons = course.lessons.in_order().filter(date__gte=TODAY)
        return [(lesson.date.strftime("%a %d"), f"{lesson.start:%H:%M}") for lesson in lessons]

    def edit(self, course):
        return reverse("lessons:course-edit", args=[course.pk])

    def test_a_new_name_is_saved_without_a_question(self, as_director, course):
        before = self.coming(course)
        assert as_director.post(self.edit(course), self.change(course, name="Waltz A")).status_code == 302
        course.refresh_from_db()
        assert (course.name, course.version) == ("Waltz A", 2)
        assert self.coming(course) == before

    def test_a_further_day_adds_its_lessons_from_today_on(self, as_director, course):
        as_director.post(self.edit(course), self.change(course, self.meeting(weekday=4)))
        fridays = [row.date for row in course.lessons.in_order() if row.date.weekday() == 4]
        assert (len(fridays), fridays[0]) == (8, dt.date(2026, 2, 6))

    def test_another_hour_offers_to_move_the_lessons_to_come(self, as_director, course):
        data = self.change(course, meets={"start": "18:00"})
        asked = as_director.post(self.edit(course), data).content.decode()
        assert "Tuesday 10 February, 19:30, moves to 18:00." in asked
        assert self.coming(course)[0] == ("Tue 10", "19:30")
        self.save(as_director, self.edit(course), data)
        assert self.coming(course) == [(day, "18:00") for day, _ in self.coming(course)]
        assert len(self.coming(course)) == 6
        assert f"{course.lessons.in_order().first().start:%H:%M}" == "19:30", "what has been stays"

    def test_without_the_tick_the_lessons_stay_and_none_comes_beside_them(self, as_director, course):
        before = self.coming(course)
        data = self.change(course, meets={"weekday": 3, "start": "18:00"})
        asked = as_director.post(self.edit(course), data)
        as_director.post(self.edit(course), data | {"seen": asked.context["form"]["seen"].value()})
        assert self.coming(course) == before
        assert course.meetings.get().weekday == 3

    def test_another_day_and_room_moves_them_within_their_weeks(self, as_director, course):
        loft = RoomFactory(name="Loft")
        data = self.change(course, meets={"weekday": 3, "room": loft.pk})
        asked = as_director.post(self.edit(course), data).content.decode()
        assert "moves to Thursday 12 February, 19:30, Loft." in asked
        self.save(as_director, self.edit(course), data)
        assert self.coming(course)[0] == ("Thu 12", "19:30")
        assert len(self.coming(course)) == 6

    def test_a_lesson_that_cannot_move_along_says_why_and_stays(self, as_director, course):
        loft = RoomFactory(name="Loft")
        weekly_lessons(CourseFactory(name="Swing"), 1, first=dt.date(2026, 2, 12), room=loft)
        Closure.objects.create(
            first_day=dt.date(2026, 2, 19), last_day=dt.date(2026, 2, 19), reason="floor varnished"
        )
        data = self.change(course, meets={"weekday": 3, "room": loft.pk})
        asked = as_director.post(self.edit(course), data).content.decode()
        assert "Tuesday 10 February, 19:30, stays where it is. Loft is taken then: Swing" in asked
        assert "There is no class on Thursday 19 February: floor varnished." in asked
        self.save(as_director, self.edit(course), data)
        assert [day for day, _ in self.coming(course)][:3] == ["Tue 10", "Tue 17", "Thu 26"]
        assert len(self.coming(course)) == 6

    def test_a_lesson_moved_on_its_own_does_not_move_along(self, as_director, course):
        alone = course.lessons.get(date=dt.date(2026, 2, 10))
        LessonSession.objects.filter(pk=alone.pk).update(date=dt.date(2026, 2, 11))
        self.save(as_director, self.edit(course), self.change(course, meets={"start": "18:00"}))
        assert self.coming(course)[0] == ("Wed 11", "19:30")

    def test_an_instructor_who_teaches_then_is_read_first(self, as_director, instructor, course):
        weekly_lessons(CourseFactory(name="Swing", taught_by=[instructor]), 11)
        data = self.change(course, instructors=[instructor.pk])
        asked = as_director.post(self.edit(course), data).content.decode()
        assert "Tobin Marl teaches another course then in 6 lessons" in asked

    def test_another_instructor_takes_what_is_to_come_and_what_is_over_keeps_its_names(
        self, as_director, instructor, course
    ):
        wren = PersonFactory(name="Wren Pell", roles=["instructor"])
        course.courseinstructor_set.create(person=wren)
        self.save(as_director, self.edit(course), self.change(course, instructors=[instructor.pk]))
        in_front = [
            (lesson.date < dt.date.fromisoformat(str(TODAY)), cast_of(lesson).instructors)
            for lesson in course.lessons.in_order()
        ]
        assert {people for is_over, people in in_front if is_over} == {(wren,)}
        assert {people for is_over, people in in_front if not is_over} == {(instructor,)}

    def test_whoever_saves_second_is_told_what_differs_and_loses_nothing(self, as_director, course):
        as_director.post(self.edit(course), self.change(course, places_leaders=5))
        late = self.change(course, name="Waltz B")
        told = as_director.post(self.edit(course), late)
        shown = told.content.decode()
        assert "Somebody else changed this course while you had it open." in shown
        assert "Places for leaders: saved is 5." in shown
        assert 'value="Waltz B"' in shown
        course.refresh_from_db()
        assert (course.places_leaders, course.name) == (5, "Waltz for beginners")
        late["version"] = told.context["form"]["version"].value()
        as_director.post(self.edit(course), late)
        course.refresh_from_db()
        assert (course.places_leaders, course.name) == (8, "Waltz B")

    @pytest.mark.parametrize("size", [2, 9])
    def test_what_follows_costs_the_same_queries_for_any_number_of_lessons(
        self, as_director, django_assert_num_queries, size
    ):
        made = planned(lessons=size + 5, name="Waltz for beginners", key="WB")
        self.was = made.course.meetings.get()
        with django_assert_num_queries(54):
            as_director.post(self.edit(made.course), self.change(made.course, meets={"start": "18:00"}))
