"""What a student does on the page of what was missed, and what stands there."""

import datetime as dt

from django.urls import reverse

TODAY = dt.date(2026, 1, 14)


def read(client, course):
    return client.get(reverse("lessons:missed", args=[course.pk])).context["missed"]


def ask(client, course, lesson, missed):
    address = reverse("lessons:catch-up-ask", args=[course.pk])
    return client.post(address, {"lesson": lesson.pk, "missed": missed.pk}, follow=True)


def offers(client, course):
    (line,) = read(client, course).lessons
    return [(offer.lesson.date, [how for _, how in offer.does], offer.places) for offer in line.offers]


def page(client, course):
    return client.get(reverse("lessons:missed", args=[course.pk])).content.decode()
