"""The people of the school: list, one person, adding, changing."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from school import actions
from school.forms import NewPersonForm, PersonForm, RolesForm
from school.hooks import person_notes
from school.invitations import how_invited
from school.kept_pages import kept_page
from school.methods import require_form
from school.models import Person, Role
from school.people_search import STATES, Sought, find_people, listed, people_like
from school.refusals import carried_out, done
from school.shown_once import keep_to_show, show_once

PEOPLE_A_PAGE = 40
MOST_LETTERS = 80


@require_safe
@kept_page
def people(request: HttpRequest) -> HttpResponse:
    sought = Sought(
        words=request.GET.get("q", "").strip()[:MOST_LETTERS],
        role=request.GET.get("role", ""),
        # Who was invited is the director's business.
        state=request.GET.get("state", "") if request.user.is_director else "",
        newest_first=request.GET.get("order") == "newest",
    )
    among = sought.people()
    found = find_people(sought.words, among=among) if sought.words else among
    near = bool(sought.words) and not found
    if near:
        found = people_like(sought.words, among=among)
    page = Paginator(found, PEOPLE_A_PAGE).get_page(request.GET.get("page"))
    if not sought.words:
        page.object_list = listed(page.object_list)
    context = {"page": page, "sought": sought, "near": near, "roles": Role.choices, "states": STATES}
    return render(request, "school/people.html", context)


@require_safe
@kept_page
def person(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_object_or_404(Person.objects.prefetch_related("personrole_set"), pk=pk)
    if shown.erased_at:
        return render(request, "school/person_erased.html", {"person": shown})
    password = show_once(request, "password", pk).get("password")
    notes = [note(shown, request.user) for note in person_notes]
    context = {"person": shown, "one_time_password": password, "notes": notes}
    if request.user.is_director:
        context |= how_invited(shown)
    return render(request, "school/person.html", context)


@require_form
def person_new(request: HttpRequest) -> HttpResponse:
    form = NewPersonForm(request.POST or None, initial={"roles": [Role.STUDENT]})
    if request.method == "POST" and form.is_valid():
        follows = form.follows()
        if follows and not form.has_seen(follows):
            form.show(follows)
            return render(request, "school/person_new.html", {"form": form, "follows": follows})
        added = form.save(commit=False)
        password = actions.add_person(person=added, roles=form.cleaned_data["roles"])
        keep_to_show(request, "password", added.pk, password=password)
        return redirect("school:person", added.pk)
    return render(request, "school/person_new.html", {"form": form})


@require_form
def person_edit(request: HttpRequest, pk: int) -> HttpResponse:
    changed = get_object_or_404(Person.objects.not_erased(), pk=pk)
    form = PersonForm(request.POST or None, instance=changed)
    follows: list[str] = []
    differ = None
    if request.method == "POST" and form.is_valid():
        follows = form.follows()
        if follows and not form.has_seen(follows):
            form.show(follows)
        elif (differ := form.save_or_show_both()) is None:
            messages.success(request, f"What is known of {changed} is saved.")
            return redirect("school:person", pk)
    context = {"form": form, "person": changed, "follows": follows, "differ": differ}
    return render(request, "school/person_edit.html", context, status=200 if differ is None else 409)


@require_form
def person_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """What goes is read first."""
    removed = get_object_or_404(Person.objects.not_erased(), pk=pk)
    if request.method != "POST":
        return render(request, "school/person_remove.html", {"person": removed})
    if not carried_out(request, lambda: actions.remove_person(person=removed, by=request.user)):
        return redirect("school:person-edit", pk)
    messages.success(request, f"{removed} is deleted.")
    return redirect("school:people")


@require_form
def person_roles(request: HttpRequest, pk: int) -> HttpResponse:
    """What somebody leaves behind is said first."""
    changed = get_object_or_404(Person.objects.not_erased(), pk=pk)
    form = RolesForm(changed, request.POST if request.method == "POST" else None)
    follows, differ = [], None
    if form.is_bound and form.is_valid():
        follows = form.follows()
        if follows and not form.has_seen(follows):
            form.show(follows)
        else:
            with transaction.atomic():
                differ = form.both_if_overtaken(form.as_typed(Person.objects.select_for_update().get(pk=pk)))
                told = {name: form.cleaned_data[name] for name in ("roles", "is_active")}
                is_done = differ is None and done(form, lambda: actions.set_roles(person=changed, **told))
            if is_done:
                messages.success(request, f"{changed}'s roles are saved.")
                return redirect("school:person", pk)
    context = {"form": form, "person": changed, "follows": follows, "differ": differ}
    return render(request, "school/person_roles.html", context, status=200 if differ is None else 409)


@require_form
def person_one_time_password(request: HttpRequest, pk: int) -> HttpResponse:
    changed = get_object_or_404(Person.objects.not_erased(), pk=pk)
    if not changed.is_active:
        messages.error(
            request, f"{changed} has left and cannot sign in. Have them back first: change their roles."
        )
        return redirect("school:person", pk)
    if request.method == "POST":
        password = actions.give_one_time_password(person=changed)
        keep_to_show(request, "password", pk, password=password)
        return redirect("school:person", pk)
    return render(request, "school/person_one_time_password.html", {"person": changed})
