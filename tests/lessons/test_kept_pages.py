"""Whatever is written in a school, a kept page says what a new one would."""

import datetime as dt
import random
import re

import pytest
from django.apps import apps
from django.core.cache import caches
from django.db import IntegrityError, connection, models, transaction
from django.test import Client
from django.urls import reverse

from curriculum.models import Dance, Figure, Routine
from lessons.demo.load import load_demo_school
from lessons.models import Course, LessonSession, TermPlan
from school.models import Person

pytestmark = pytest.mark.django_db
WEDNESDAY = dt.date(2026, 3, 4)
WRITES = 12
TOKEN = re.compile(r'(X-CSRFToken": "|csrfmiddlewaretoken" value=")\w+')
# What another row can be told by: made otherwise at random, it would only be refused.
LEFT_ALONE = {"username", "password", "time_zone", "key"}


@pytest.fixture
def demo(settings):
    settings.TODAY, settings.KEPT_PAGES = WEDNESDAY.isoformat(), 50
    caches["pages"].clear()
    caches["verdicts"].clear()
    load_demo_school(today=WEDNESDAY)


def readers_pages():
    """(whose browser, address): what a director, an instructor and a student read most."""
    # What nobody could have written may be too much for a page: it is then too much for both.
    browsers = {who: Client(raise_request_exception=False) for who in ("director", "instructor", "student")}
    for who, browser in browsers.items():
        browser.force_login(Person.objects.get(username=who))
    course = Course.objects.get(key="WB1")
    tonight = LessonSession.objects.given().filter(date=WEDNESDAY).in_order()[0]
    figure = Figure.objects.get(name="natural turn")
    own = Course.objects.for_user(Person.objects.get(username="student")).filter(term=course.term)[0]
    director = [
        reverse("lessons:home"),
        reverse("lessons:term"),
        reverse("lessons:school-plan", args=[course.term_id]),
        reverse("school:people"),
        reverse("lessons:course", args=[course.pk]),
        reverse("lessons:plan", args=[TermPlan.objects.get(course=course, status="published").pk]),
        reverse("curriculum:dance", args=[Dance.objects.get(name="waltz").pk]),
        reverse("curriculum:figure", args=[figure.pk]),
        reverse("curriculum:routine", args=[Routine.objects.get(level=figure.level).pk]),
        reverse("lessons:lesson", args=[tonight.pk]),
        reverse("lessons:record", args=[tonight.pk]),
    ]
    return [
        *((browsers["director"], address) for address in director),
        (browsers["instructor"], reverse("lessons:home")),
        (browsers["student"], reverse("lessons:home")),
        (browsers["student"], reverse("lessons:my-level-course", args=[own.pk])),
    ]


def write_anything(chance):
    """Some row of some table made otherwise or taken away, as far as the database allows."""
    ours = [apps.get_app_config(name) for name in ("school", "curriculum", "lessons")]
    tables = [model for app in ours for model in app.get_models(include_auto_created=True)]
    table = chance.choice([table for table in tables if table.objects.exists()])
    row = chance.choice(list(table.objects.order_by("pk")))
    columns = [field for field in table._meta.concrete_fields if field.name not in LEFT_ALONE]
    others = {field.name: value for field in columns if (value := other(field, row)) is not None}
    try:
        with transaction.atomic():
            if others and chance.random() < 0.8:
                name = chance.choice(sorted(others))
                table.objects.filter(pk=row.pk).update(**{name: others[name]})
            else:
                table.objects.filter(pk=row.pk)._raw_delete("default")
            connection.check_constraints()
    except IntegrityError:
        return False
    return True


def other(field, row):
    """Another value the column may have; None for one that is better left alone."""
    value = getattr(row, field.attname)
    if field.choices or field.primary_key or field.is_relation:
        return None
    if isinstance(field, models.BooleanField):
        return not value
    if isinstance(field, models.DateField) and not isinstance(field, models.DateTimeField):
        return (value or WEDNESDAY) + dt.timedelta(days=1)
    if isinstance(field, models.CharField | models.TextField):
        return f"x{value}"[: field.max_length]
    if isinstance(field, models.PositiveSmallIntegerField):
        return (value or 0) + 1
    return None


def said_by(answer):
    return answer.status_code, TOKEN.sub("", answer.content.decode())


def test_whatever_is_written_it_says_what_a_new_one_would(demo, settings):
    # Other rows on either database, as the suite runs on both.
    chance, kept = random.Random(connection.vendor), 0
    pages, written = readers_pages(), 0
    for browser, address in pages:
        browser.get(address)
    while written < WRITES:
        written += write_anything(chance)
        for browser, address in pages:
            answer = browser.get(address)
            kept += not answer.templates
            settings.KEPT_PAGES = 0
            new = browser.get(address)
            settings.KEPT_PAGES = 50
            assert said_by(answer) == said_by(new), address
    # Else nothing was shown by this.
    assert kept > WRITES * len(pages) / 2
