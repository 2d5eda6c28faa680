"""What is typed on the page of a private lesson, and by whom."""

import datetime as dt

from django.urls import reverse

TODAY = dt.date(2026, 1, 21)


def signed_in(client, person):
    client.force_login(person)
    return client


def form(person, **typed):
    sent = {
        "person": person.pk if person else "",
        "role": "F",
        "date": "2026-01-23",
        "start": "17:00",
        "minutes": "45",
        "room": "",
        "version": "0",
    }
    return sent | typed


def new(client, writer, person, **typed):
    return signed_in(client, writer).post(reverse("lessons:private-new"), form(person, **typed))


def errors(answer):
    return answer.context["form"].errors
