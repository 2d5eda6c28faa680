"""A page that is only read is kept until something it shows has changed."""

import datetime as dt
import re
import threading

import pytest
from django.conf import settings
from django.core.cache import caches
from django.db import connection, connections, transaction
from django.db.models import F
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.models import WorkerSign
from school import clock, kept_pages
from school.changes import marks
from school.changes.questions import Question
from school.kept_pages import KeptPage
from school.models import Person, PersonRole, Room
from school.views import people as people_views
from tests.factories import (
    CourseFactory,
    CoverLinkFactory,
    LessonFactory,
    PersonFactory,
    RecordFactory,
    RoomFactory,
)
from tests.two_writers import change

pytestmark = pytest.mark.django_db
TOKEN = re.compile(r'X-CSRFToken": "(\w+)"')


@pytest.fixture(autouse=True)
def keeping(settings):
    settings.KEPT_PAGES = 50
    settings.TODAY = "2026-03-04"
    caches["pages"].clear()
    caches["verdicts"].clear()


@pytest.fixture
def people(as_director):
    """Opens the list of people and says what stands there."""

    def text(client=as_director):
        return client.get(reverse("school:people")).content.decode()

    text()
    return text


class TestAKeptPage:
    def test_is_not_made_again_while_nothing_is_written(self, people, as_director):
        assert as_director.get(reverse("lessons:term")).templates
        assert not as_director.get(reverse("lessons:term")).templates

    def test_is_made_again_once_anything_it_shows_is_written(self, people):
        PersonFactory(name="Ember Quist", roles=["student"])
        assert "Ember Quist" in people()
        Person.objects.filter(name="Ember Quist").update(name="Ember Sole")
        assert "Ember Sole" in people()

    def test_stays_while_only_something_else_is_written(self, people, as_director):
        """A student's tick must not have everybody's pages made again."""
        RoomFactory()
        assert not as_director.get(reverse("school:people")).templates

    def test_stays_while_what_is_written_changes_none_of_its_answers(
        self, people, as_director, django_assert_num_queries
    ):
        """People are counted and read again, and the mark once more to be sure."""
        Person.objects.update(name=F("name"))
        with django_assert_num_queries(5 + 2 + 1):
            assert not as_director.get(reverse("school:people")).templates
        with django_assert_num_queries(5):
            assert not as_director.get(reverse("school:people")).templates

    def test_of_a_lesson_stays_while_another_course_is_written_up_and_not_while_its_own_is(self, as_director):
        ours, theirs = LessonFactory(date=dt.date(2026, 3, 2)), LessonFactory(date=dt.date(2026, 3, 2))
        address = reverse("lessons:lesson", args=[ours.pk])
        assert as_director.get(address).templates
        RecordFactory(lesson=theirs)
        assert not as_director.get(address).templates
        RecordFactory(lesson=ours)
        assert as_director.get(address).templates

    def test_is_not_kept_if_the_view_wrote_anything(self, as_director, monkeypatch):
        find = people_views.listed

        def find_and_write(*asked):
            Room.objects.update(note="looked at")
            return find(*asked)

        monkeypatch.setattr(people_views, "listed", find_and_write)
        for _ in range(2):
            assert as_director.get(reverse("school:people")).templates

    def test_is_made_again_once_the_school_or_its_reader_is_called_otherwise(self, people, school, director):
        """Both were read before the page was made."""
        type(school).objects.update(name="The Other School")
        assert "The Other School" in people()
        Person.objects.filter(pk=director.pk).update(name="Hester Vane")
        assert "Hester Vane" in people()

    def test_is_not_kept_if_it_shows_a_table_that_is_not_watched(self, as_director, monkeypatch):
        watched = {table: said for table, said in marks().items() if table != Room._meta.db_table}
        monkeypatch.setattr(kept_pages, "marks", lambda: watched)
        address = reverse("lessons:course", args=[CourseFactory().pk])
        for _ in range(2):
            assert as_director.get(address).templates

    def test_costs_the_session_the_person_the_school_their_roles_and_the_mark(
        self, people, as_director, django_assert_num_queries
    ):
        for number in (1, 30):
            PersonFactory.create_batch(number, roles=["student"])
            people()
            with django_assert_num_queries(5):
                people()

    def test_is_nobody_elses(self, people, client, director, instructor):
        assert f'data-person="{director.pk}"' in people()
        client.force_login(instructor)
        assert f'data-person="{instructor.pk}"' in people(client)
        assert f'data-person="{director.pk}"' not in people(client)

    def test_is_another_at_another_address(self, people, as_director):
        PersonFactory(name="Ember Quist", roles=["student"])
        people()
        found = as_director.get(reverse("school:people"), {"q": "nobody of this name"}).content.decode()
        assert "Ember Quist" not in found

    def test_is_made_anew_on_another_day(self, people, settings):
        assert "4 March 2026" in people()
        settings.TODAY = "2026-03-05"
        assert "5 March 2026" in people()

    def test_whose_reader_lost_the_role_is_not_there_at_once(self, client, school, instructor):
        client.force_login(instructor)
        assert client.get(reverse("school:people")).status_code == 200
        PersonRole.objects.filter(person=instructor).delete()
        assert client.get(reverse("school:people")).status_code == 404

    def test_whose_reader_signed_out_asks_them_to_sign_in(self, people, as_director):
        as_director.logout()
        assert as_director.get(reverse("school:people")).status_code == 302

    def test_says_to_the_device_for_whom_it_is(self, people, as_director, director):
        first, second = (as_director.get(reverse("lessons:home")) for _ in range(2))
        assert not second.templates
        assert second["X-Freefoot-Person"] == str(director.pk)
        assert second["X-Freefoot-Keep"] == "1"
        assert dict(first.headers).keys() == dict(second.headers).keys()

    def test_is_kept_only_where_it_is_asked_for_whole(self, people, as_director):
        assert as_director.get(reverse("school:people"), headers={"HX-Request": "true"}).templates

    def test_that_is_not_there_is_said_with_a_token_that_works(self, as_director):
        for _ in range(2):
            answer = as_director.get(reverse("lessons:lesson", args=[4711]))
            assert answer.status_code == 404
            assert len(TOKEN.search(answer.content.decode()).group(1)) == 64

    def test_none_is_kept_where_the_school_wants_none(self, people, as_director, settings):
        settings.KEPT_PAGES = 0
        assert as_director.get(reverse("school:people")).templates


class TestWhatIsSaidOnce:
    def test_a_message_is_shown_once_and_kept_nowhere(self, people, as_director, director):
        change(as_director, reverse("school:person-edit", args=[director.pk]), name="Hester Quayle-Orme")
        assert "is saved" in people()
        assert "is saved" not in people()
        assert "is saved" not in people()

    def test_a_message_is_shown_on_a_page_that_was_kept_before(self, people, as_director):
        """Something may be said though nothing was written."""
        lesson = LessonFactory(cancelled_at=timezone.now())
        people()
        as_director.get(reverse("lessons:sheet-edit", args=[lesson.pk]))
        assert 'class="messages"' in people()
        assert 'class="messages"' not in people()

    def test_a_one_time_password_is_shown_once_also_on_a_page_that_was_kept(self, as_director, student):
        address = reverse("school:person", args=[student.pk])
        for _ in range(2):
            assert "Password for one time" not in as_director.get(address).content.decode()
        given = as_director.post(reverse("school:person-one-time-password", args=[student.pk]))
        assert "Password for one time" in as_director.get(given["Location"]).content.decode()
        assert "Password for one time" not in as_director.get(address).content.decode()


class TestItsForms:
    def test_carry_a_token_of_their_own_each_time_and_it_works(self, school, director):
        browser = Client(enforce_csrf_checks=True)
        browser.force_login(director)
        tokens = []
        for _ in range(3):
            page = browser.get(reverse("school:people")).content.decode()
            (token,) = set(re.findall(r'name="csrfmiddlewaretoken" value="(\w+)"', page))
            assert TOKEN.search(page).group(1) == token
            tokens.append(token)
        assert len(set(tokens)) == 3
        refused = browser.post(reverse("school:sign-out"), {"csrfmiddlewaretoken": "x" * 64})
        assert refused.status_code == 403
        assert browser.post(reverse("school:sign-out"), {"csrfmiddlewaretoken": tokens[2]}).status_code == 302


class TestWhatTimeEnds:
    def test_a_link_that_is_over_is_not_offered_any_longer(self, as_director, wall_clock):
        link = CoverLinkFactory(lesson__date=dt.date(2026, 3, 3))
        address = reverse("lessons:lesson", args=[link.lesson_id])
        withdraw = reverse("lessons:cover-withdraw", args=[link.lesson_id, link.pk])
        wall_clock("05:58")
        assert withdraw in as_director.get(address).content.decode()
        wall_clock("05:59")
        assert not as_director.get(address).templates
        wall_clock("06:01")
        assert withdraw not in as_director.get(address).content.decode()

    def test_a_record_asks_whether_it_is_early_only_until_the_lesson_begins(self, as_director, wall_clock):
        lesson = LessonFactory(date=dt.date(2026, 3, 4), start=dt.time(19, 30))
        address = reverse("lessons:record", args=[lesson.pk])
        wall_clock("19:28")
        assert 'class="early"' in as_director.get(address).content.decode()
        wall_clock("19:31")
        assert 'class="early"' not in as_director.get(address).content.decode()

    def test_a_page_that_asks_for_the_time_and_says_no_more_is_kept_for_the_minute(
        self, as_director, wall_clock, monkeypatch
    ):
        """Nobody who asks for it in a page that is kept can forget to say so."""
        find = people_views.listed
        monkeypatch.setattr(people_views, "listed", lambda *asked: clock.now() and find(*asked))
        address = reverse("school:people")
        seen = []
        for time in ("19:28:10", "19:28:59", "19:29:00"):
            wall_clock(time)
            seen.append(bool(as_director.get(address).templates))
        assert seen == [True, False, True]

    def test_a_director_is_told_of_a_worker_that_went_silent(self, as_director):
        sign = WorkerSign.objects.create(worker="hall-1", seen_at=timezone.now())
        home = reverse("lessons:home")
        assert "No worker is alive" not in as_director.get(home).content.decode()
        WorkerSign.objects.filter(pk=sign.pk).update(seen_at=timezone.now() - dt.timedelta(minutes=1))
        assert "No worker is alive" in as_director.get(home).content.decode()


@pytest.mark.django_db(transaction=True)
class TestWhileSomebodyWrites:
    def in_a_thread(self, work):
        """Runs `work` with a connection of its own, to its end."""

        def run():
            try:
                work()
            finally:
                connections.close_all()

        thread = threading.Thread(target=run)
        thread.start()
        thread.join(30)
        assert not thread.is_alive()

    def test_what_is_written_before_and_committed_after_a_page_was_made_is_not_missed(self, people):
        """The writer wrote first; the reader's page was made and kept before that could be seen."""
        said = []
        with transaction.atomic():
            PersonFactory(name="Ember Quist", roles=["student"])
            for _ in range(2):
                self.in_a_thread(lambda: said.append(people()))
        assert len(said) == 2
        assert not any("Ember Quist" in page for page in said)
        assert "Ember Quist" in people()

    def test_a_page_made_while_somebody_wrote_is_not_kept(self, people, as_director, monkeypatch):
        find = people_views.listed

        def find_slowly(*asked):
            found = list(find(*asked))
            self.in_a_thread(lambda: PersonFactory(name="Ember Quist", roles=["student"]))
            monkeypatch.setattr(people_views, "listed", find)
            return found

        PersonFactory()
        monkeypatch.setattr(people_views, "listed", find_slowly)
        assert "Ember Quist" not in people()
        assert "Ember Quist" in people()

    def test_a_writer_waits_for_no_other(self):
        if connection.vendor == "sqlite":
            pytest.skip("SQLite has one writer at a time, with marks or without")
        one, other = RoomFactory.create_batch(2)
        with transaction.atomic():
            for _ in range(70):
                Room.objects.filter(pk=one.pk).update(note="mine")

            def write():
                with connection.cursor() as cursor:
                    cursor.execute("SET lock_timeout = '2s'")
                for _ in range(70):
                    Room.objects.filter(pk=other.pk).update(note="theirs")

            self.in_a_thread(write)
        assert set(Room.objects.values_list("note", flat=True)) == {"mine", "theirs"}


@pytest.mark.django_db(transaction=True)
def test_a_page_whose_answers_can_no_longer_be_asked_for_is_not_served():
    """As after an update that took a column away."""
    gone = Question("SELECT shoe_size FROM school_person", None, frozenset({"school_person"}))
    page = KeptPage({gone: b""}, {"school_person": "as it was"}, (), None, {}, b"")
    assert not page.holds(marks())


def test_what_makes_pages_asks_the_schools_clock_for_the_time_and_no_other():
    """Only then is it noticed. Rooms that make no page may: they write, or run by themselves."""
    make_none = {"actions", "backups", "demo", "management", "migrations", "models", "planners"}
    may = {"clock.py", "health.py", "run_rows.py", "signs.py", "tasks.py"}
    asks = re.compile(r"timezone\.now\(\)|timezone\.localtime\(\)|datetime\.now\(|\bNow\(\)|time\.time\(\)")
    found = [
        file.relative_to(settings.BASE_DIR).as_posix()
        for app in ("school", "curriculum", "lessons")
        for file in (settings.BASE_DIR / app).rglob("*.py")
        if make_none.isdisjoint(file.parts) and file.name not in may and asks.search(file.read_text())
    ]
    assert found == []
