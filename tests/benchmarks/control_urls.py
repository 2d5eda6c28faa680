"""The control page every other page is measured against: a plain view, three queries, a table of 40 rows."""

from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path

from curriculum.models import Dance, Figure
from school.models import Person
from school.root_urls import urlpatterns as every_page

ROWS = 40


def control(request: HttpRequest) -> HttpResponse:
    context = {
        "figures": Figure.objects.select_related("level")[:ROWS],
        "people": Person.objects.count(),
        "dances": list(Dance.objects.annotate(many=Count("figures"))),
    }
    return render(request, "control.html", context)


urlpatterns = [path("control/", control, name="control"), *every_page]
