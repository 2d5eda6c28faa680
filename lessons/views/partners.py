"""Changes of partner for one segment, worked out from who is ticked; and two who are not to be paired."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from lessons.access import get_lesson_for, may_record
from lessons.actions.floor import keep_apart
from lessons.evening.cast import Cast
from lessons.evening.partners import apart_among, changes_of, dancing_in
from lessons.forms.partners import NotPairedForm, PartnersForm
from lessons.models import LessonSession, NotPaired
from lessons.people.helpers import calls_for, helpers_of
from lessons.rules.evening_rotation import MINUTES_WITH_A_PARTNER
from lessons.students.catch_up_page import cast_with_visitors
from school.kept_pages import kept_page
from school.models import School


@require_safe
@kept_page
def partners(request: HttpRequest, pk: int) -> HttpResponse:
    """Nothing is saved: what is ticked stands in the address."""
    lesson = get_lesson_for(request.user, pk)
    cast = cast_with_visitors(lesson)
    return _page(request, lesson, cast, NotPairedForm(cast))


@require_POST
def not_paired(request: HttpRequest, pk: int) -> HttpResponse:
    lesson = get_lesson_for(request.user, pk)
    cast = cast_with_visitors(lesson)
    form = NotPairedForm(cast, request.POST)
    if not form.is_valid():
        return _page(request, lesson, cast, form)
    keep_apart(one=form.cleaned_data["one"], other=form.cleaned_data["other"], by=request.user)
    messages.success(request, "These two are not paired.")
    return _back(request, pk)


@require_POST
def not_paired_end(request: HttpRequest, pk: int, pair: int) -> HttpResponse:
    lesson = get_lesson_for(request.user, pk)
    people = {row.person_id for row in cast_with_visitors(lesson).enrolments}
    get_object_or_404(NotPaired.objects.among(people), pk=pair).delete()
    messages.success(request, "These two may be paired again.")
    return _back(request, pk)


def _page(request: HttpRequest, lesson: LessonSession, cast: Cast, apart_form: NotPairedForm) -> HttpResponse:
    pairs = apart_among(cast)
    called = calls_for(lesson)
    asked = _asked(request)
    school: School | None = request.school
    if "asked" not in asked:
        each = school.minutes_with_a_partner if school else MINUTES_WITH_A_PARTNER
        data = PartnersForm.defaults(cast, minutes=asked.get("minutes"), each=each, called=called)
    else:
        data = asked
    form = PartnersForm(
        cast,
        data,
        called=called,
        known_apart=(frozenset((row.person_id, row.other_id)) for row in pairs),
    )
    followers_move = school is None or school.who_moves == School.Moves.FOLLOWERS
    changes = changes_of(form, followers_move=followers_move) if form.is_valid() else None
    # Whoever is of the course is no helper for it, not even unticked.
    of_course = [*cast.instructors, *(row.person for row in cast.enrolments)]
    dancing = cast.enrolments if changes is None else dancing_in(changes, called)
    context = {
        "lesson": lesson,
        "minors": sorted(row.person.first_name for row in cast.enrolments if row.person.is_minor),
        "form": form,
        "helpers": helpers_of(lesson, dancing, of_course),
        "may_call": may_record(request.user, lesson),
        "changes": changes,
        "pairs": pairs,
        "apart_form": apart_form,
        "asked": asked.urlencode(),
        "back": _here(request, lesson.pk),
    }
    return render(request, "lessons/partners.html", context)


def _asked(request: HttpRequest) -> QueryDict:
    """What was ticked: in the address, or sent along by one of the page's other forms."""
    return QueryDict(request.POST["ticked"]) if "ticked" in request.POST else request.GET


def _back(request: HttpRequest, pk: int) -> HttpResponse:
    return redirect(_here(request, pk))


def _here(request: HttpRequest, pk: int) -> str:
    """The page with everything ticked as it is."""
    ticked = _asked(request).urlencode()
    return reverse("lessons:partners", args=[pk]) + (f"?{ticked}" if ticked else "")
