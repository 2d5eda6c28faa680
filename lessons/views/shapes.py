"""Lesson shapes: which segments a lesson has, in which order and for how long."""

from __future__ import annotations

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from lessons.actions.shapes import save_shape
from lessons.evening.shape_page import shape_cards
from lessons.forms.shapes import ShapeForm
from lessons.models import LessonShape
from school.kept_pages import kept_page
from school.methods import require_form
from school.models import Person
from school.second_writer import BothVersions


@require_safe
@kept_page
def shapes(request: HttpRequest) -> HttpResponse:
    return render(request, "lessons/shapes.html", {"cards": shape_cards()})


@require_form
def shape(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """One shape's form, a new one's without `pk`. "Add it up" shows the sums and saves nothing."""
    shapes = LessonShape.objects.prefetch_related("segments", "courses")
    changed = get_object_or_404(shapes, pk=pk) if pk else LessonShape()
    form = ShapeForm(changed, request.POST if request.method == "POST" else None)
    name, differ = changed.name, None
    if form.is_bound and form.is_valid() and "add_up" not in request.POST:
        differ = _save(form, changed, request.user)
        if differ is None:
            messages.success(request, f"“{changed}” is saved.")
            return redirect("lessons:shapes")
    context = {"form": form, "shape": changed if pk else None, "name": name, "differ": differ}
    return render(request, "lessons/shape.html", context, status=200 if differ is None else 409)


@transaction.atomic
def _save(form: ShapeForm, shape: LessonShape, by: Person) -> tuple[BothVersions, ...] | None:
    """None where it is saved; else where it differs from what somebody else saved meanwhile."""
    if shape.pk:
        stands = LessonShape.objects.select_for_update().get(pk=shape.pk)
        if (differ := form.both_if_overtaken(form.as_typed(stands))) is not None:
            return differ
    told = {name: form.cleaned_data[name] for name in ("name", "for_kind", "is_default")}
    save_shape(shape=shape, segments=form.segments, by=by, **told)
    return None
