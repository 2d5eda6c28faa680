"""What tests of the builder ask of a routine, of its page and of an answer."""

from django.urls import reverse


def names(routine):
    rows = routine.items.select_related("passage__figure").order_by("position")
    return [row.passage.figure.name if row.passage else "corner" for row in rows]


def build(client, routine, **asked):
    page = client.get(reverse("curriculum:routine-build", args=[routine.pk]), asked)
    assert page.status_code == 200
    return page


def said(answer):
    return [str(message) for message in answer.context["messages"]]
