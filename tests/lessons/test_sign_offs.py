"""Ready for the next level: the school's list, sign-offs dated and named, and who reads what of it."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from lessons.actions.sign_offs import sign_off
from lessons.models import CourseLevel, Requirement, SignOff
from lessons.students.readiness import course_readiness
from tests.factories import CourseFactory, EnrolmentFactory, FigureFactory, LevelFactory, PersonFactory


@pytest.fixture(autouse=True)
def a_day_in_term(settings, school):
    settings.TODAY = "2026-01-14"


@pytest.fixture
def level():
    return LevelFactory(rank=1, name="Beginners")


@pytest.fixture
def course(level, instructor):
    return CourseFactory(level=level, name="Waltz", taught_by=[instructor])


@pytest.fixture
def whisk(level):
    return FigureFactory(level=level, name="whisk")


@pytest.fixture
def lines(level, whisk):
    """A figure asked of both; a habit of leaders and one of followers."""
    return {
        "whisk": Requirement.objects.create(level=level, position=1, figure=whisk),
        "leads": Requirement.objects.create(level=level, position=2, habit="looks where it goes", role="L"),
        "waits": Requirement.objects.create(level=level, position=3, habit="waits for the lead", role="F"),
    }


def own_page(client, course):
    return client.get(reverse("lessons:ready", args=[course.pk]))


def form(course, person):
    return reverse("lessons:sign-off-person", args=[course.pk, person.pk])


def send(client, course, person, *, signed, was=(), role="F"):
    sent = {"role": role, "signed": [line.pk for line in signed], "was": [line.pk for line in was]}
    return client.post(form(course, person), sent)


class TestTheStudent:
    def test_reads_what_is_signed_off_by_whom_and_what_is_open(
        self, as_student, student, instructor, course, lines
    ):
        sign_off(person=student, role="F", add=[lines["whisk"]], by=instructor)
        answer = own_page(as_student, course)
        (mine,) = answer.context["lists"]
        assert [(str(line.requirement), line.sign_off is None) for line in mine.lines] == [
            ("whisk", False),
            ("waits for the lead", True),
        ]
        assert "signed off 14 January 2026 by Tobin Marl" in answer.content.decode()
        assert not mine.is_ready

    def test_who_dances_both_is_asked_for_both(
        self, as_student, student, enrolled, course, lines, instructor
    ):
        enrolled.dances_both = True
        enrolled.save()
        sign_off(person=student, role="L", add=[lines["whisk"], lines["leads"]], by=instructor)
        follows, leads = own_page(as_student, course).context["lists"]
        assert (follows.role, follows.signed, follows.is_ready) == ("F", 0, False)
        assert (leads.role, leads.signed, leads.is_ready) == ("L", 2, True)

    def test_a_level_without_a_list_says_so_and_nobody_is_ready(self, as_student, course, student):
        assert "no list for this level yet" in own_page(as_student, course).content.decode()
        assert not course_readiness(course)[0].is_ready

    def test_the_page_names_the_level_that_comes_next(self, as_student, course, level, lines):
        LevelFactory(dance=level.dance, rank=2, name="Improvers")
        LevelFactory(dance=level.dance, rank=3, name="Intermediate")
        assert "Ready for Improvers?" in own_page(as_student, course).content.decode()

    def test_signs_off_nothing(self, as_student, student, course, lines):
        assert send(as_student, course, student, signed=[lines["whisk"]]).status_code == 404
        assert not SignOff.objects.exists()


class TestTheInstructor:
    def test_signs_off_by_ticking_dated_and_named(
        self, as_instructor, student, enrolled, instructor, course, lines, whisk
    ):
        assert (
            send(as_instructor, course, student, signed=[lines["whisk"], lines["waits"]]).status_code == 302
        )
        kept = SignOff.objects.order_by("pk").values_list("figure", "habit", "role", "day", "signed_by")
        today = dt.date(2026, 1, 14)
        assert list(kept) == [
            (whisk.pk, None, "F", today, instructor.pk),
            (None, lines["waits"].pk, "F", today, instructor.pk),
        ]
        assert course_readiness(course)[0].is_ready

    def test_what_was_signed_off_meanwhile_by_another_stays(
        self, as_instructor, student, enrolled, course, lines
    ):
        """The form was opened before the other signed: it neither had the tick nor took it away."""
        other = PersonFactory(name="Hester Vole", roles=["instructor"])
        sign_off(person=student, role="F", add=[lines["waits"]], by=other)
        send(as_instructor, course, student, signed=[lines["whisk"]])
        assert SignOff.objects.get(habit=lines["waits"]).signed_by == other
        send(as_instructor, course, student, signed=[lines["waits"]])
        assert SignOff.objects.get(habit=lines["waits"]).signed_by == other

    def test_a_form_sent_as_it_was_says_that_nothing_was_changed(
        self, as_instructor, student, enrolled, instructor, course, lines
    ):
        send(as_instructor, course, student, signed=[])
        assert "Nothing was changed." in as_instructor.get("/").content.decode()
        send(as_instructor, course, student, signed=[lines["whisk"]])
        assert f"Kept for {student}." in as_instructor.get("/").content.decode()
        send(as_instructor, course, student, signed=[lines["whisk"]], was=[lines["whisk"]])
        assert "Nothing was changed." in as_instructor.get("/").content.decode()

    def test_takes_back_their_own(self, as_instructor, student, enrolled, instructor, course, lines):
        sign_off(person=student, role="F", add=[lines["whisk"]], by=instructor)
        send(as_instructor, course, student, signed=[], was=[lines["whisk"]])
        assert not SignOff.objects.exists()

    def test_only_the_director_takes_back_what_another_signed(
        self, as_instructor, client, director, student, enrolled, course, lines
    ):
        other = PersonFactory(name="Hester Vole", roles=["instructor"])
        sign_off(person=student, role="F", add=[lines["whisk"]], by=other)
        answer = send(as_instructor, course, student, signed=[], was=[lines["whisk"]])
        assert "was signed off by Hester Vole: they or the director take it back" in answer.content.decode()
        assert SignOff.objects.exists()
        client.force_login(director)
        send(client, course, student, signed=[], was=[lines["whisk"]])
        assert not SignOff.objects.exists()

    @pytest.mark.parametrize("role", ["L", "X", ""])
    def test_a_role_the_person_does_not_dance_is_refused(
        self, as_instructor, student, enrolled, course, lines, role
    ):
        answer = send(as_instructor, course, student, signed=[lines["whisk"]], role=role)
        assert "Choose leader or follower." in answer.content.decode()
        assert not SignOff.objects.exists()

    def test_a_line_of_another_role_or_level_is_not_signed(
        self, as_instructor, student, enrolled, course, lines
    ):
        elsewhere = Requirement.objects.create(level=LevelFactory(), habit="something else")
        send(as_instructor, course, student, signed=[lines["leads"], elsewhere])
        assert not SignOff.objects.exists()

    def test_nobody_signs_for_themselves(self, instructor, lines):
        with pytest.raises(ValidationError, match="Nobody signs off for themselves"):
            sign_off(person=instructor, role="F", add=[lines["whisk"]], by=instructor)

    def test_of_another_course_reads_and_does_not_sign(self, client, student, enrolled, course, lines):
        client.force_login(PersonFactory(roles=["instructor"]))
        assert client.get(reverse("lessons:sign-offs", args=[course.pk])).status_code == 200
        assert send(client, course, student, signed=[lines["whisk"]]).status_code == 403

    def test_is_told_to_mind_who_is_under_18(self, as_instructor, student, enrolled, course, lines):
        assert "Under 18" not in as_instructor.get(form(course, student)).content.decode()
        student.is_minor = True
        student.save()
        assert (
            "Under 18: never alone with one adult"
            in as_instructor.get(form(course, student)).content.decode()
        )

    def test_somebody_who_is_not_in_the_course_is_not_there(self, as_instructor, course, lines):
        waits = EnrolmentFactory(course=course, waiting=True).person
        for person in (PersonFactory(), waits):
            assert as_instructor.get(form(course, person)).status_code == 404


class TestTheDirector:
    def post_lines(self, client, level, rows, **more):
        """rows: dicts of a line; those with an id stand already."""
        old = [row for row in rows if "id" in row]
        sent = {"requirements-TOTAL_FORMS": len(rows), "requirements-INITIAL_FORMS": len(old)}
        for place, row in enumerate([*old, *(row for row in rows if "id" not in row)]):
            for field, value in row.items():
                sent[f"requirements-{place}-{field}"] = value
        address = reverse("lessons:requirements", args=[level.pk])
        sent["read"] = client.get(address).context["read"]
        return client.post(address, sent | more)

    def test_writes_the_list(self, as_director, level, whisk):
        rows = [
            {"position": 2, "habit": "keeps time", "role": "L"},
            {"position": 1, "figure": whisk.pk, "role": ""},
            {"position": 0, "figure": "", "habit": "", "role": ""},
        ]
        assert self.post_lines(as_director, level, rows).status_code == 302
        assert [(str(line), line.role) for line in level.requirements.all()] == [
            ("whisk", ""),
            ("keeps time", "L"),
        ]

    @pytest.mark.parametrize(
        ("row", "said"),
        [
            ({"habit": "keeps time", "figure": "whisk"}, "A line is a figure or a habit"),
            ({"habit": "", "figure": "", "position": 3}, "Choose a figure, or write a habit."),
            ({"figure": "999999"}, "not among the choices"),
            ({"habit": "keeps time", "role": "X"}, "not among the choices"),
            ({"habit": "keeps time", "position": "first"}, "This is not a whole number."),
            ({"habit": "a" * 121}, "120"),
        ],
    )
    def test_a_wrong_line_is_answered_at_its_field(self, as_director, level, whisk, row, said):
        row = {key: whisk.pk if value == "whisk" else value for key, value in row.items()}
        answer = self.post_lines(as_director, level, [{"position": 1, "role": ""} | row])
        assert said in answer.content.decode()
        assert not Requirement.objects.exists()

    @pytest.mark.parametrize("lines", [201, "9" * 30])
    def test_more_lines_than_a_list_has_are_said_and_not_laid_out(self, as_director, level, lines):
        """Else a single request could ask for as many as it likes."""
        count = {"requirements-TOTAL_FORMS": lines}
        answer = self.post_lines(as_director, level, [{"position": 1, "habit": "keeps time"}], **count)
        assert "A level’s list has 200 lines at most." in answer.content.decode()
        assert len(answer.context["lines"].forms) == 200
        assert not Requirement.objects.exists()

    def test_a_figure_stands_in_the_list_once(self, as_director, level, whisk):
        rows = [{"position": place, "figure": whisk.pk, "role": ""} for place in (1, 2)]
        assert "A figure stands here twice." in self.post_lines(as_director, level, rows).content.decode()

    def test_a_habit_somebody_was_signed_off_for_stays(self, as_director, level, lines, student, instructor):
        sign_off(person=student, role="F", add=[lines["waits"]], by=instructor)
        row = {
            "id": lines["waits"].pk,
            "position": 3,
            "habit": "waits for the lead",
            "role": "F",
            "DELETE": "on",
        }
        answer = self.post_lines(as_director, level, [row])
        assert "Somebody has been signed off for “waits for the lead”: it stays" in answer.content.decode()
        assert Requirement.objects.filter(pk=lines["waits"].pk).exists()

    def test_what_somebody_else_changed_meanwhile_is_not_overwritten_unseen(self, as_director, level, lines):
        row = {"id": lines["waits"].pk, "position": 3, "habit": "waits", "role": "F"}
        answer = self.post_lines(as_director, level, [row], read="as it was before")
        text = answer.content.decode()
        assert "Somebody else changed this list" in text
        assert 'value="waits"' in text
        lines["waits"].refresh_from_db()
        assert lines["waits"].habit == "waits for the lead"
        assert self.post_lines(as_director, level, [row], read=answer.context["read"]).status_code == 302

    def test_sees_who_is_ready_in_every_course_that_runs(
        self, as_director, course, student, enrolled, instructor, lines
    ):
        EnrolmentFactory(course=course, person=PersonFactory(name="Ada Brinklow"), role="F")
        sign_off(person=student, role="F", add=[lines["whisk"], lines["waits"]], by=instructor)
        (shown,) = as_director.get(reverse("lessons:ready-school")).context["courses"]
        assert [(one.person.name, one.is_ready) for one in shown.lists] == [
            ("Lark Penfold", True),
            ("Ada Brinklow", False),
        ]
        assert (shown.ready, shown.people) == (1, 2)

    def test_of_a_large_course_the_furthest_are_seen_and_of_many_courses_a_page(
        self, as_director, course, student, enrolled, instructor, lines
    ):
        for number in range(9):
            EnrolmentFactory(course=course, person=PersonFactory(name=f"Ada {number}"), role="F")
        sign_off(person=student, role="F", add=[lines["whisk"], lines["waits"]], by=instructor)
        for number in range(11):
            CourseFactory(term=course.term, key=f"Z{number:02}", level=LevelFactory(dance=course.dance))
        answer = as_director.get(reverse("lessons:ready-school"))
        first = answer.context["courses"][0]
        assert (first.lists[0].person.name, len(first.lists), first.more) == ("Lark Penfold", 5, 5)
        assert "And 5 more" in answer.content.decode()
        assert len(answer.context["courses"]) == 8
        second = as_director.get(reverse("lessons:ready-school"), {"page": "2"})
        assert len(second.context["courses"]) == 4


@pytest.mark.parametrize("size", [2, 7])
@pytest.mark.parametrize(
    ("page", "queries"),
    [("sign-offs", 12), ("ready-school", 10), ("sign-off-person", 13), ("requirements", 8)],
)
def test_pages_cost_the_same_whatever_the_size(
    as_director, course, level, instructor, page, queries, size, django_assert_num_queries
):
    more = CourseFactory(term=course.term, level=LevelFactory(dance=level.dance, rank=2))
    CourseLevel.objects.create(course=more, level=level)
    for _ in range(size):
        person = EnrolmentFactory(course=course, role="F").person
        line = Requirement.objects.create(level=level, figure=FigureFactory(level=level))
        EnrolmentFactory(course=more, person=person, role="F")
        sign_off(person=person, role="F", add=[line], by=instructor)
    keys = {"sign-offs": [course.pk], "requirements": [level.pk], "sign-off-person": [course.pk, person.pk]}
    with django_assert_num_queries(queries):
        as_director.get(reverse(f"lessons:{page}", args=keys.get(page, [])))


@pytest.mark.parametrize("size", [2, 7])
def test_the_students_page_costs_the_same_whatever_the_size(
    as_student, student, course, level, instructor, size, django_assert_num_queries
):
    for _ in range(size):
        line = Requirement.objects.create(level=level, figure=FigureFactory(level=level))
        sign_off(person=student, role="F", add=[line], by=instructor)
    with django_assert_num_queries(13):
        own_page(as_student, course)
