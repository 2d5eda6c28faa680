"""The page of partner changes: who is here is ticked, the rounds and the sentence to call are the answer."""

import datetime as dt

import pytest
from django.urls import reverse

from lessons.models import Enrolment, NotPaired
from school.models import School
from tests.factories import EnrolmentFactory, HelperFactory, PersonFactory, weekly_lessons


@pytest.fixture(autouse=True)
def first_evening(settings, school):
    settings.TODAY = "2026-01-06"


@pytest.fixture
def lesson(course):
    return weekly_lessons(course, 2)[0]


@pytest.fixture
def people(course):
    """Two leaders and three followers, by first name."""
    roles = {"Ada Finch": "L", "Bea Mull": "L", "Una Rook": "F", "Viv Dunnock": "F", "Wren Teal": "F"}
    enrolled = [
        EnrolmentFactory(course=course, person=PersonFactory(name=name, roles=["student"]), role=role)
        for name, role in roles.items()
    ]
    return {row.person.first_name: row.person for row in enrolled}


def address(lesson):
    return reverse("lessons:partners", args=[lesson.pk])


def ticked(people, **changed):
    """Everybody here in their own role, as the page sends it."""
    asked = {"asked": "1", "minutes": "9", "each": "3"}
    for row in Enrolment.objects.filter(person__in=people.values()):
        asked |= {
            f"here_{row.person_id}": "on",
            f"role_{row.person_id}": row.role,
            f"from_{row.person_id}": "1",
        }
    return {name: value for name, value in (asked | changed).items() if value is not None}


def test_everybody_enrolled_is_here_unless_unticked(as_instructor, lesson, people):
    text = as_instructor.get(address(lesson)).content.decode()
    assert "Followers move on one; at the gap you rest." in text
    assert "4 rounds of 3 minutes." in text
    assert "The ring in the first round" in text
    unticked = ticked(people, **{f"here_{people['Wren'].pk}": None})
    assert "Followers move on one." in as_instructor.get(address(lesson), unticked).content.decode()


def test_nothing_is_saved(as_instructor, lesson, people):
    changed = ticked(people, **{f"role_{people['Ada'].pk}": "F", "guest_leaders": "2"})
    assert as_instructor.get(address(lesson), changed).status_code == 200
    assert Enrolment.objects.get(person=people["Ada"]).role == "L"
    assert Enrolment.objects.count() == len(people)


def test_the_segments_minutes_come_along_in_the_address(as_instructor, lesson, people):
    School.objects.update(minutes_with_a_partner=2)
    assert "4 rounds of 2 minutes." in as_instructor.get(address(lesson), {"minutes": "8"}).content.decode()


def test_the_school_says_who_moves(as_instructor, lesson, people):
    School.objects.update(who_moves="leaders")
    text = as_instructor.get(address(lesson)).content.decode()
    assert "Leaders move on one, the gap too; at the gap you rest." in text


def test_the_table_says_who_dances_with_whom(as_instructor, lesson, people):
    changes = as_instructor.get(address(lesson), ticked(people)).context["changes"]
    said = {row.dancer.name: [words for words, _ in row.partners] for row in changes.rows}
    assert said == {"Ada": ["Viv", "Una", "Wren"], "Bea": ["Wren", "Viv", "Una"]}
    assert changes.resting == ("Una", "Wren", "Viv")


def test_a_table_wider_than_a_phone_says_how_far_it_goes(as_instructor, lesson, people):
    words = "Move the table sideways to read as far as round"
    assert f"{words} 3." in as_instructor.get(address(lesson), ticked(people)).content.decode()
    assert words not in as_instructor.get(address(lesson), ticked(people, minutes="6")).content.decode()


def test_the_run_sheet_sends_along_the_minutes_of_its_practice(as_instructor, lesson, people):
    page = as_instructor.get(reverse("lessons:lesson", args=[lesson.pk]))
    minutes = next(row.minutes for row in page.context["sheet"].rows if row.kind == "practice")
    links = page.content.decode().split(f'href="{address(lesson)}')[1:]
    assert links
    assert all(link.startswith((f'?minutes={minutes}"', f"?minutes={minutes}#helpers")) for link in links)


def test_guests_helpers_latecomers_and_couples_are_taken_in(as_instructor, lesson, people, instructor):
    changed = ticked(
        people,
        guest_leaders="1",
        stays_1_one=str(people["Ada"].pk),
        stays_1_other=str(people["Una"].pk),
        **{f"from_{people['Wren'].pk}": "2", f"helps_{instructor.pk}": "on"},
    )
    text = as_instructor.get(address(lesson), changed).content.decode()
    assert "Stay together: Ada and Una." in text
    assert "Keep a free place for Wren" in text
    assert "guest 1" in text
    assert "Called in" not in text


def test_a_helper_is_called_in_where_a_partner_is_missing(as_instructor, lesson, people, instructor):
    text = as_instructor.get(
        address(lesson), ticked(people, **{f"helps_{instructor.pk}": "on"})
    ).content.decode()
    assert "Called in: Tobin as leader." in text


@pytest.mark.parametrize(
    ("field", "value"),
    [("minutes", "0"), ("minutes", "soon"), ("minutes", ""), ("each", "0"), ("guest_leaders", "61")],
)
def test_what_is_no_number_of_minutes_or_guests_is_said_at_its_field(
    as_instructor, lesson, people, field, value
):
    answer = as_instructor.get(address(lesson), ticked(people, **{field: value}))
    assert list(answer.context["form"].errors) == [field]
    assert 'class="error"' in answer.content.decode()
    assert answer.context["changes"] is None


def test_couples_that_are_none_are_refused_at_their_field(as_instructor, lesson, people):
    ada, una = people["Ada"].pk, people["Una"].pk
    for one, other in ((ada, ada), (ada, ""), ("", una)):
        answer = as_instructor.get(address(lesson), ticked(people, stays_1_one=one, stays_1_other=other))
        assert "A couple is two people." in answer.content.decode()
    twice = ticked(
        people, stays_1_one=ada, stays_1_other=una, stays_2_one=una, stays_2_other=people["Bea"].pk
    )
    assert "stays with somebody else already" in as_instructor.get(address(lesson), twice).content.decode()


def test_a_stranger_ticked_by_hand_is_not_there(as_instructor, lesson, people, outsider):
    answer = as_instructor.get(address(lesson), ticked(people, **{f"here_{outsider.pk}": "on"}))
    assert "Sorrel" not in answer.content.decode()


def test_who_enrolled_since_the_address_was_made_is_there_to_be_ticked(as_instructor, lesson, people):
    answer = as_instructor.get(address(lesson), {"asked": "1", "minutes": "9", "each": "3"})
    form = answer.context["form"]
    assert not form.errors
    assert form[f"role_{people['Wren'].pk}"].value() == "F"
    assert not form.dancers


@pytest.mark.parametrize("field", ["role", "from"])
def test_a_role_or_a_round_that_is_none_is_said_at_its_field(as_instructor, lesson, people, field):
    name = f"{field}_{people['Ada'].pk}"
    answer = as_instructor.get(address(lesson), ticked(people, **{name: "77"}))
    assert list(answer.context["form"].errors) == [name]
    assert f'id="id_{name}_error"' in answer.content.decode()


def test_nobody_forty_and_one_are_answered_in_a_sentence(as_instructor, lesson):
    assert "Nobody is here yet. Tick who has come." in as_instructor.get(address(lesson)).content.decode()
    asked = {"asked": "1", "minutes": "9", "each": "3", "guest_leaders": "40", "guest_followers": "1"}
    text = as_instructor.get(address(lesson), asked).content.decode()
    assert "each leader dances about one round in 40" in text


def test_two_with_one_first_name_are_told_apart(as_instructor, course, lesson):
    for name in ("Ada Finch", "Ada Mull"):
        EnrolmentFactory(course=course, person=PersonFactory(name=name, roles=["student"]), role="L")
    text = as_instructor.get(address(lesson)).content.decode()
    assert "Ada F" in text
    assert "Ada M" in text
    assert "Finch" not in text.split("Two who are not to be paired")[0]


class TestWhoIsShort:
    """Two lead, two follow, and Quill, who is enrolled as follower, dances either."""

    @pytest.fixture
    def evening(self, course, lesson):
        for name, role in {"Ada": "L", "Bea": "L", "Quill": "F", "Una": "F", "Viv": "F"}.items():
            person = PersonFactory(name=f"{name} Finch", roles=["student"])
            EnrolmentFactory(course=course, person=person, role=role, dances_both=name == "Quill")
        HelperFactory(person__name="Nerys Gorwell", role="L")
        HelperFactory(person__name="Orla Tarn", role="F")
        return {row.person.first_name: row.person for row in Enrolment.objects.filter(course=course)}

    def said(self, client, lesson, asked=None):
        text = client.get(address(lesson), asked or {}).content.decode()
        return text.split('id="offer"')[1].split("</section>")[0], text

    def test_page_run_sheet_and_offer_name_the_same_role(self, as_instructor, lesson, evening):
        offer, text = self.said(as_instructor, lesson)
        assert "Quill follows." in text
        assert "One leader short. A helper can be called:" in offer
        assert "Nerys Gorwell" in offer
        assert "Orla Tarn" not in offer
        sheet = as_instructor.get(reverse("lessons:lesson", args=[lesson.pk])).content.decode()
        assert "One leader short. A helper can be called." in sheet

    def test_who_leads_tonight_changes_who_is_short_and_who_is_offered(self, as_instructor, lesson, evening):
        asked = ticked(evening, **{f"role_{evening['Quill'].pk}": "L"})
        offer, _ = self.said(as_instructor, lesson, asked)
        assert "One follower short. A helper can be called:" in offer
        assert "Orla Tarn" in offer
        assert "Nerys Gorwell" not in offer
        assert f"role_{evening['Quill'].pk}=L" in offer

    def test_nobody_is_short_where_one_is_away_or_roles_do_not_matter(self, as_instructor, lesson, evening):
        away = ticked(evening, **{f"here_{evening['Quill'].pk}": None})
        for asked in (away, ticked(evening, everybody="on")):
            assert "short" not in self.said(as_instructor, lesson, asked)[0]

    def test_nor_where_a_guest_a_couple_or_the_instructor_evens_it_out(
        self, as_instructor, lesson, evening, instructor
    ):
        even = [{"guest_leaders": "1"}, {f"helps_{instructor.pk}": "on"}]
        together = {"stays_1_one": evening["Quill"].pk, "stays_1_other": evening["Una"].pk}
        even.append(together | {f"here_{evening['Bea'].pk}": None})
        for more in even:
            assert "short" not in self.said(as_instructor, lesson, ticked(evening, **more))[0]

    def test_who_is_of_the_course_and_not_here_is_no_helper(self, as_instructor, course, lesson, evening):
        HelperFactory(person=evening["Ada"], role="L")
        offer, _ = self.said(as_instructor, lesson, ticked(evening, **{f"here_{evening['Ada'].pk}": None}))
        assert "Two leaders short" in offer
        assert "Ada" not in offer.split("A helper can be called:")[1].split("here_")[0]

    def test_a_refused_form_leads_the_buttons_to_the_page_as_it_was_ticked(
        self, as_instructor, lesson, evening
    ):
        data = {"one": "", "other": "", "ticked": "asked=1&minutes=21&each=3&guest_followers=1"}
        refused = as_instructor.post(reverse("lessons:not-paired", args=[lesson.pk]), data).content.decode()
        offer = refused.split('id="offer"')[1].split("</section>")[0]
        assert f'value="{address(lesson)}?asked=1&amp;minutes=21' in offer


class TestNotPaired:
    def keep_apart(self, client, lesson, one, other, **more):
        data = {"one": one.pk, "other": other.pk, "ticked": ""} | more
        return client.post(reverse("lessons:not-paired", args=[lesson.pk]), data)

    def test_two_are_kept_apart_whoever_is_named_first_and_no_reason_is_kept(
        self, as_instructor, lesson, people
    ):
        ada, una = people["Ada"], people["Una"]
        self.keep_apart(as_instructor, lesson, una, ada)
        self.keep_apart(as_instructor, lesson, ada, una)
        row = NotPaired.objects.get()
        assert {row.person, row.other} == {ada, una}
        assert {field.name for field in NotPaired._meta.get_fields()} == {"id", "person", "other"}

    def test_they_never_stand_in_one_row(self, as_instructor, lesson, people):
        self.keep_apart(as_instructor, lesson, people["Ada"], people["Una"])
        changes = as_instructor.get(address(lesson), ticked(people, minutes="30")).context["changes"]
        rows = {row.dancer.name: [words for words, _ in row.partners] for row in changes.rows}
        assert "Una" not in rows["Ada"]
        assert "Una" in rows["Bea"]

    def test_they_cannot_be_a_couple_who_stays(self, as_instructor, lesson, people):
        self.keep_apart(as_instructor, lesson, people["Ada"], people["Una"])
        couple = ticked(people, stays_1_one=people["Una"].pk, stays_1_other=people["Ada"].pk)
        assert (
            "These two are not to be paired." in as_instructor.get(address(lesson), couple).content.decode()
        )

    def test_what_was_ticked_stays_ticked(self, as_instructor, lesson, people):
        kept = "asked=1&minutes=21&each=3"
        answer = self.keep_apart(as_instructor, lesson, people["Ada"], people["Una"], ticked=kept)
        assert answer.url == f"{address(lesson)}?{kept}"

    def test_nobody_is_kept_apart_from_themselves_or_from_a_stranger(
        self, as_instructor, lesson, people, outsider
    ):
        answer = self.keep_apart(as_instructor, lesson, people["Ada"], people["Ada"])
        assert "Choose somebody else." in answer.content.decode()
        self.keep_apart(as_instructor, lesson, people["Ada"], outsider)
        assert not NotPaired.objects.exists()

    def test_it_is_taken_back(self, as_instructor, lesson, people):
        self.keep_apart(as_instructor, lesson, people["Ada"], people["Una"])
        pair = NotPaired.objects.get()
        as_instructor.post(reverse("lessons:not-paired-end", args=[lesson.pk, pair.pk]), {"ticked": ""})
        assert not NotPaired.objects.exists()

    def test_a_pair_of_another_course_is_not_found(self, as_instructor, lesson, people):
        one, other = sorted((PersonFactory(), PersonFactory()), key=lambda person: person.pk)
        pair = NotPaired.objects.create(person=one, other=other)
        gone = reverse("lessons:not-paired-end", args=[lesson.pk, pair.pk])
        assert as_instructor.post(gone, {}).status_code == 404

    def test_students_never_read_it(self, client, lesson, people):
        client.force_login(people["Ada"])
        assert client.get(address(lesson)).status_code == 404
        assert self.keep_apart(client, lesson, people["Ada"], people["Una"]).status_code == 404


def test_the_page_is_only_read(as_instructor, lesson):
    assert as_instructor.post(address(lesson), {}).status_code == 403


@pytest.mark.parametrize("size", [2, 20])
def test_the_page_costs_the_same_whatever_the_size(
    as_instructor, course, lesson, size, django_assert_num_queries
):
    people = [EnrolmentFactory(course=course, role="LF"[number % 2]).person for number in range(size)]
    NotPaired.objects.create(person=people[0], other=people[1])
    with django_assert_num_queries(15):
        as_instructor.get(address(lesson), {"minutes": "60"})


def test_a_lesson_of_last_term_is_still_worked_out_for_who_was_enrolled_then(as_instructor, lesson, people):
    Enrolment.objects.filter(person=people["Wren"]).update(left=dt.date(2026, 1, 6))
    assert "Wren" not in as_instructor.get(address(lesson)).content.decode()


def test_where_somebody_under_eighteen_dances_the_caution_stands_above(as_instructor, tonight, course):
    page = reverse("lessons:partners", args=[tonight.pk])
    assert "Under 18 in this course" not in as_instructor.get(page).content.decode()
    EnrolmentFactory(course=course, person=PersonFactory(name="Pip Arden", is_minor=True), role="F")
    said = as_instructor.get(page).content.decode()
    assert "Under 18 in this course: Pip." in said
    assert "local law come first" in said
