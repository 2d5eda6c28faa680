"""Take this lesson for me: one link, one page, first names only, over the next morning."""

import datetime as dt
import hashlib
import re

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from curriculum.models import Caution, ChartStep, StepChart
from lessons.actions.changes import move_lesson
from lessons.actions.covers import find_cover_link, make_cover_link, withdraw_cover_link
from lessons.models import CoverLink, LessonInstructor
from lessons.models.covers import link_ends
from lessons.people.first_names import first_names, without_surnames
from school import clock
from school.models import School
from tests.factories import (
    CourseFactory,
    CoverLinkFactory,
    EnrolmentFactory,
    FigureFactory,
    PassageFactory,
    PersonFactory,
    PlanFactory,
    PlanFigureFactory,
    RecordFactory,
    RoutineFactory,
)


@pytest.fixture(autouse=True)
def third_week(settings, school):
    settings.TODAY = "2026-01-20"


@pytest.fixture
def course(instructor):
    return CourseFactory(name="Waltz on Tuesdays", taught_by=[instructor])


@pytest.fixture
def whisk(course, tonight):
    """New tonight, with a caution and a chart."""
    figure = FigureFactory(level=course.levels.get(), name="whisk", lead="turn the ribs")
    Caution.objects.create(figure=figure, text="keep the knees soft")
    PlanFigureFactory(plan=PlanFactory(course=course, status="published"), figure=figure, new_in=tonight)
    chart(figure, "whole")
    return figure


def chart(figure, name):
    made = StepChart.objects.create(figure=figure, name=name)
    for role in "LF":
        for position, direction in enumerate(("forward", "side", "behind")):
            ChartStep.objects.create(
                chart=made, role=role, position=position, count=str(position + 1), ticks=12,
                foot="LRL"[position], action="step", direction=direction, cue="tall" if position else "",
            )  # fmt: skip
    return made


def with_a_tempo(dance):
    """28 to 30 bars a minute."""
    dance.slowest_bars_per_minute, dance.quickest_bars_per_minute = 28, 30
    dance.save()


def opened(client, secret):
    return client.get(reverse("lessons:cover", args=[secret]))


def text_of(client, secret):
    return opened(client, secret).content.decode()


def signed_in(client, person):
    client.force_login(person)
    return client


def make(client, lesson):
    return client.post(reverse("lessons:cover-new", args=[lesson.pk]), follow=True)


class TestTheLink:
    def test_it_is_shown_once_whole_and_kept_only_as_a_hash(self, client, instructor, tonight):
        answer = make(signed_in(client, instructor), tonight)
        address = re.search(r'value="(http://testserver/cover/[\w-]{43}/)"', answer.content.decode())[1]
        secret = address.split("/")[-2]
        link = CoverLink.objects.get()
        assert link.secret_hash == hashlib.sha256(secret.encode()).hexdigest()
        assert secret not in client.get(reverse("lessons:lesson", args=[tonight.pk])).content.decode()
        assert secret not in str(dict(client.session))
        client.logout()
        assert client.get(address).status_code == 200

    def test_two_links_never_share_a_secret(self, instructor, tonight):
        secrets = {make_cover_link(lesson=tonight, by=instructor)[1] for _ in range(5)}
        assert len(secrets) == 5

    def test_it_ends_at_six_the_next_morning_by_the_schools_clock(self, tonight):
        School.objects.update(time_zone="Europe/Lisbon")
        tonight.date = dt.date(2026, 3, 28)
        with clock.school_time():
            ends = link_ends(tonight)
        assert ends == dt.datetime(2026, 3, 29, 5, 0, tzinfo=dt.UTC)

    def test_it_opens_until_then_and_not_a_moment_longer(self, client, tonight, monkeypatch):
        ends = CoverLinkFactory(lesson=tonight, secret="s").ends_at
        for moment, status in ((ends - dt.timedelta(seconds=1), 200), (ends, 404)):
            monkeypatch.setattr("lessons.actions.covers.clock.now", lambda moment=moment: moment)
            assert opened(client, "s").status_code == status

    @pytest.mark.parametrize("zone", ["Europe/London", "Pacific/Auckland", "America/Los_Angeles"])
    def test_its_end_is_the_schools_morning_wherever_the_school_is(self, tonight, zone):
        link = CoverLinkFactory(lesson=tonight)
        School.objects.update(time_zone=zone)
        with clock.school_time():
            before = CoverLink.objects.live(link.ends_at - dt.timedelta(seconds=1))
            assert (before.count(), CoverLink.objects.live(link.ends_at).count()) == (1, 0)

    def test_it_goes_with_its_lesson_to_another_day(self, client, director, tonight, monkeypatch):
        CoverLinkFactory(lesson=tonight, secret="s")
        later = tonight.date + dt.timedelta(days=3)
        move_lesson(lesson=tonight, date=later, start=tonight.start, room=tonight.room, by=director)
        assert "until Saturday 24 January, 06:00" in text_of(client, "s")
        for day, status in ((later, 200), (later + dt.timedelta(days=1), 404)):
            at_noon = dt.datetime.combine(day, dt.time(12), tzinfo=dt.UTC)
            monkeypatch.setattr("lessons.actions.covers.clock.now", lambda moment=at_noon: moment)
            assert opened(client, "s").status_code == status

    def test_wrong_ended_and_withdrawn_look_the_same(self, client, instructor, lessons, tonight):
        CoverLinkFactory(lesson=lessons[1], secret="over")
        withdraw_cover_link(link=CoverLinkFactory(lesson=tonight, secret="withdrawn"), by=instructor)
        answers = [opened(client, secret) for secret in ("wrong", "over", "withdrawn")]
        assert [answer.status_code for answer in answers] == [404] * 3
        pages = {re.sub(rb'"X-CSRFToken": "\w+"', b"", answer.content) for answer in answers}
        assert len(pages) == 1

    def test_the_hash_itself_opens_nothing(self, client, tonight):
        link = CoverLinkFactory(lesson=tonight, secret="s")
        assert opened(client, link.secret_hash).status_code == 404

    def test_it_is_withdrawn_on_the_lessons_page(self, client, instructor, tonight):
        link = CoverLinkFactory(lesson=tonight, secret="s", made_by=instructor)
        signed_in(client, instructor)
        away = reverse("lessons:cover-withdraw", args=[tonight.pk, link.pk])
        assert away in client.get(reverse("lessons:lesson", args=[tonight.pk])).content.decode()
        client.post(away)
        assert opened(client, "s").status_code == 404
        assert away not in client.get(reverse("lessons:lesson", args=[tonight.pk])).content.decode()

    def test_withdrawing_twice_keeps_the_first_moment(self, instructor, tonight):
        link = CoverLinkFactory(lesson=tonight)
        withdraw_cover_link(link=link, by=instructor)
        link.refresh_from_db()
        first = link.withdrawn_at
        withdraw_cover_link(link=link, by=instructor)
        link.refresh_from_db()
        assert link.withdrawn_at == first

    def test_a_link_of_another_lesson_is_not_withdrawn_here(self, client, instructor, lessons):
        link = CoverLinkFactory(lesson=lessons[1])
        answer = signed_in(client, instructor).post(
            reverse("lessons:cover-withdraw", args=[lessons[2].pk, link.pk])
        )
        assert answer.status_code == 404

    def test_only_the_director_and_who_gives_the_lesson_make_one(self, client, director, student, tonight):
        other = PersonFactory(name="Wren Tansley", roles=["instructor"])
        for person, status in ((other, 403), (student, 404), (director, 200)):
            assert make(signed_in(client, person), tonight).status_code == status
        assert CoverLink.objects.get().made_by == director

    def test_who_covers_already_may_hand_it_on(self, client, tonight):
        cover = PersonFactory(roles=["instructor"])
        LessonInstructor.objects.create(lesson=tonight, person=cover, covers=True)
        assert make(signed_in(client, cover), tonight).status_code == 200

    def test_what_is_cancelled_or_over_needs_no_link(self, client, instructor, lessons):
        lessons[3].cancelled_at = timezone.now()
        lessons[3].save()
        for lesson, said in ((lessons[3], "was cancelled"), (lessons[0], "is over")):
            with pytest.raises(ValidationError, match=said):
                make_cover_link(lesson=lesson, by=instructor)
            answer = signed_in(client, instructor).post(
                reverse("lessons:cover-new", args=[lesson.pk]), follow=True
            )
            assert said in answer.content.decode()
        assert not CoverLink.objects.exists()


class TestThePage:
    @pytest.fixture
    def secret(self, tonight):
        CoverLinkFactory(lesson=tonight, secret="open")
        return "open"

    def test_it_says_who_where_when_what_and_how(self, client, course, lessons, secret, whisk):
        School.objects.update(first_aid="Box by the kitchen door.")
        box = FigureFactory(level=course.levels.get(), name="box step")
        RecordFactory(lesson=lessons[1], taught={box: "introduced"}, note="again from the corner")
        text = text_of(client, secret)
        for words in ("Waltz on Tuesdays", "20 January", "19:30", "20:30", "Tobin", str(lessons[2].room)):
            assert words in text
        for words in ("box step", "again from the corner", "whisk", "turn the ribs", "keep the knees soft"):
            assert words in text
        for words in ("step forward", "step behind", "tall", "Box by the kitchen door.", "Warm-up"):
            assert words in text

    def test_it_says_whose_place_one_takes_and_who_stands_beside(
        self, client, course, tonight, secret, instructor
    ):
        text = text_of(client, secret)
        assert "You take it from Tobin." in text
        assert "In front" not in text
        other = PersonFactory(name="Jory Lammas", roles=["instructor"])
        course.courseinstructor_set.create(person=other)
        tonight.cover_links.update(made_by=other)
        text = text_of(client, secret)
        assert "You take it from Jory. In front with you: Tobin." in text

    def test_it_says_the_music_of_each_segment_slower_first(self, client, course, secret, whisk):
        with_a_tempo(course.dance)
        beats = course.dance.beats_per_bar
        text = re.sub(r"<[^>]+>", "", text_of(client, secret))
        count = " ".join(str(beat) for beat in range(1, beats + 1))
        # What is new: 60 and then 100 per cent of 28 to 30 bars a minute.
        assert "Music 17 to 18 bars a minute" in text
        assert f"then 28 to 30 ({28 * beats} to {30 * beats}). Count in {count}, {count}." in text

    def test_it_names_by_first_name_only(self, client, course, secret):
        EnrolmentFactory(course=course, person=PersonFactory(name="Ada Brinklow"), role="F")
        text = text_of(client, secret)
        assert "Ada" in text
        for surname in ("Brinklow", "Marl"):
            assert surname not in text

    def test_nobody_under_18_is_named_at_all(self, client, course, lessons, secret):
        minor = PersonFactory(name="Pip Sandling", is_minor=True, guardian_name="Una Sandling")
        EnrolmentFactory(course=course, person=minor, role="F")
        EnrolmentFactory(course=course, person=PersonFactory(name="Ada Brinklow"), role="F")
        RecordFactory(
            lesson=lessons[1], note="Pip and Ada Brinklow were late. Pip Sandling hurries. A pipette."
        )
        text = text_of(client, secret)
        assert "2 followers" in text
        assert "and 1 not named here" in re.sub(r"\s+", " ", text)
        assert "a student and Ada were late. a student hurries. A pipette." in text
        for name in ("Pip ", "Sandling", "Una"):
            assert name not in text

    def test_nothing_on_it_leads_into_the_school(self, client, secret, whisk):
        text = text_of(client, secret)
        assert not re.search(r"<a\b|<form\b|<script\b|style=", text)
        assert "sessionid" not in client.cookies
        assert "csrftoken" not in client.cookies

    def test_it_is_kept_nowhere_and_found_by_nobody(self, client, secret):
        headers = opened(client, secret).headers
        assert headers["Cache-Control"] == "no-store"
        assert headers["Referrer-Policy"] == "no-referrer"
        assert "noindex" in headers["X-Robots-Tag"]
        assert 'name="robots" content="noindex' in text_of(client, secret)

    def test_a_cancelled_lesson_says_so(self, client, secret, tonight, whisk):
        tonight.cancelled_at, tonight.cancelled_because = timezone.now(), "boiler broken"
        tonight.save()
        text = text_of(client, secret)
        assert "boiler broken" in text
        assert "whisk" not in text

    def test_a_lesson_with_nobody_and_nothing_is_still_a_page(self, client, secret):
        text = text_of(client, secret)
        assert "Nobody is enrolled." in text
        assert "Nothing is recorded as taught" in text

    def test_a_figures_second_chart_is_left_out_on_paper(self, client, secret, whisk):
        chart(whisk, "second half")
        tables = re.findall(r'<table class="([^"]+)"', text_of(client, secret))
        assert tables == ["cover-chart", "cover-chart no-print"]

    def test_the_page_is_only_read(self, client, secret):
        assert client.post(reverse("lessons:cover", args=[secret])).status_code == 405

    @pytest.mark.parametrize("size", [2, 9])
    def test_it_costs_the_same_whatever_the_size(
        self, client, course, lessons, tonight, secret, size, django_assert_num_queries
    ):
        plan = PlanFactory(course=course, status="published")
        figures = [FigureFactory(level=course.levels.get()) for _ in range(2 * size)]
        for new, old in zip(figures[::2], figures[1::2], strict=True):
            PlanFigureFactory(plan=plan, figure=new, new_in=tonight)
            PlanFigureFactory(plan=plan, figure=old, new_in=lessons[1], again_in=[tonight])
            chart(new, "")
            EnrolmentFactory(course=course)
            PersonFactory(roles=["instructor"])
        RecordFactory(lesson=lessons[1], taught=dict.fromkeys(figures[1::2], "introduced"))
        passages = [PassageFactory(figure=figure) for figure in figures]
        course.routine = RoutineFactory(level=course.levels.get(), dances=passages)
        course.save()
        with_a_tempo(course.dance)
        with django_assert_num_queries(30):
            opened(client, secret)


def test_finding_a_link_costs_one_query(tonight, django_assert_num_queries):
    CoverLinkFactory(lesson=tonight, secret="s")
    with django_assert_num_queries(1):
        assert find_cover_link("s")
    assert find_cover_link("") is None


def test_first_names_are_told_apart_by_as_little_as_will_do():
    people = [PersonFactory.build(pk=pk, name=name) for pk, name in enumerate(
        ("Ada Brinklow", "Ada Brent", "Bea Mull", "Ada", "Bea Mull")
    )]  # fmt: skip
    assert first_names(people) == {0: "Ada Bri", 1: "Ada Bre", 2: "Bea Mull", 3: "Ada", 4: "Bea Mull"}


def test_a_text_keeps_words_that_only_look_like_names():
    ada = PersonFactory.build(name="Ada Brinklow")
    assert without_surnames("Adagio, says ada brinklow (Brinklow Street).", [ada]) == (
        "Adagio, says Ada (Brinklow Street)."
    )
