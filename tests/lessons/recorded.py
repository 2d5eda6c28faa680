"""The form of a record as its page would send it, and what it wrote."""

from django.urls import reverse

from lessons.models import (
    RecordedFigure,
)


def address(lesson):
    return reverse("lessons:record", args=[lesson.pk])


def filled(figures, *, present=(), version="", **rest):
    """A whole form: `figures` is figure -> (outcome, how it went, minutes still needed)."""
    data = {"version": version, "unnamed_guests": 0, "note": "", "present": [who.pk for who in present]}
    data["figures"] = [figure.pk for figure in figures]
    for figure, (outcome, went, owed) in figures.items():
        data |= {
            f"figure-{figure.pk}-outcome": outcome,
            f"figure-{figure.pk}-went": went,
            f"figure-{figure.pk}-minutes_owed": owed,
        }
    return data | rest


def outcomes(lesson):
    rows = RecordedFigure.objects.filter(record__lesson=lesson).select_related("figure")
    return {row.figure.name: (row.outcome, row.went, row.minutes_owed) for row in rows}
