"""The register: a course's plan, a figure's card on it, what a draft teaches, publishing."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from lessons.access import get_course_for, get_plan_for
from lessons.actions.cards import save_card, set_figures
from lessons.actions.errors import Overtaken, PlanHasBreaches
from lessons.actions.plans import publish_plan, start_draft
from lessons.actions.sets import APART, TOGETHER
from lessons.actions.steps import said_since
from lessons.board import page as plan_state
from lessons.board.card import Card, card_of
from lessons.board.page import plan_page
from lessons.courses.knowledge import taught_in
from lessons.forms.plans import PlanFiguresForm
from lessons.models import PlanStatus, TermPlan
from school.kept_pages import kept_page
from school.methods import require_form
from school.refusals import in_words, put_on_form
from school.sent import whole_number


@require_safe
@kept_page
def plan(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_plan_for(request.user, pk)
    return render(request, "lessons/plan.html", plan_page(shown, request.user))


@require_POST
def plan_new(request: HttpRequest, pk: int) -> HttpResponse:
    course = get_course_for(request.user, pk)
    draft = start_draft(course=course, by=request.user)
    is_read = course.plans.filter(status=PlanStatus.PUBLISHED).exists()
    told = "What students and instructors read stays as it is." if is_read else "Now plan the term."
    messages.success(request, f"Here is a new draft. {told}")
    return redirect("lessons:plan", draft.pk)


@require_form
def plan_figure(request: HttpRequest, pk: int, figure: int) -> HttpResponse:
    shown = get_plan_for(request.user, pk)
    card = card_of(shown, figure, data=request.POST if request.method == "POST" else None)
    if request.method != "POST":
        seen = whole_number(request.GET.get("seen"))
        card.news = said_since(shown, seen) if seen is not None and seen < shown.version else []
        return _card(request, card)
    if not card.form.is_valid() or not _saved(request, card):
        return _card(request, card)
    fresh = card_of(get_plan_for(request.user, pk), figure)
    fresh.say_what_followed(card)
    if request.htmx:
        return _card(request, fresh, saved=True)
    messages.success(request, " ".join([f"Saved: {card.name}.", *fresh.said]))
    return redirect("lessons:plan-figure", pk, figure)


@require_safe
def plan_figure_try(request: HttpRequest, pk: int, figure: int) -> HttpResponse:
    """What would break were the figure new in another lesson: nothing is written."""
    card = card_of(get_plan_for(request.user, pk), figure)
    lesson = request.GET.get("lesson", "")
    found = card.trial(lesson)
    if found is None:
        raise Http404("the card offers no such lesson")
    context = {"card": card, "found": found, "stands": lesson == card.form.initial["lesson"]}
    return render(request, "lessons/_plan_card_try.html", context)


def _saved(request: HttpRequest, card: Card) -> bool:
    """Save the card; what is refused stands on its form, where nothing typed is lost."""
    form = card.form
    try:
        save_card(
            plan=card.plan,
            version=form.cleaned_data["version"],
            plan_figure=card.row,
            by=request.user,
            demands=form.demands(),
            move_to=form.move_to,
            is_moved=form.is_moved,
            again_in=form.again_lessons,
            is_untouched=not form.is_touched,
            read=card.problem,
            together=form.company(TOGETHER),
            apart=form.company(APART),
        )
    except Overtaken as overtaken:
        card.overtake(overtaken.sentence)
        return False
    except ValidationError as refused:
        put_on_form(form, refused)
        return False
    return True


def _card(request: HttpRequest, card: Card, *, saved: bool = False) -> HttpResponse:
    """The card; with it the register as it stands, where something of it changed."""
    swap = bool(request.htmx) and (saved or bool(card.overtaken) or bool(card.news))
    context = {"card": card, "plan": card.plan, "form": card.form, "saved": saved, "swap": swap}
    context["touch"] = card.touch or {"news": card.news}
    if swap:
        board = card.touch.board if card.touch else None
        context |= plan_page(card.plan, request.user, chosen=card.row.pk, read=card.problem, board=board)
    return render(
        request, "lessons/_plan_card_answer.html" if request.htmx else "lessons/plan_figure.html", context
    )


@require_form
def plan_figures(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_plan_for(request.user, pk)
    figures, rows = plan_state.figures_to_choose(shown)
    form = PlanFiguresForm(
        request.POST or None,
        figures=figures,
        rows=rows,
        taught=taught_in(shown.course),
        version=shown.version,
    )
    if request.method == "POST" and form.is_valid():
        try:
            set_figures(
                plan=shown,
                version=form.cleaned_data["version"],
                figures=form.chosen(),
                wishes=form.wishes(),
                by=request.user,
            )
        except (Overtaken, ValidationError) as refused:
            put_on_form(form, refused)
        else:
            messages.success(request, f"The draft teaches {len(form.chosen())} figures.")
            return redirect("lessons:plan", pk)
    return render(request, "lessons/plan_figures.html", {"plan": shown, "form": form})


@require_form
def plan_publish(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_plan_for(request.user, pk)
    refused = ""
    if request.method == "POST":
        try:
            _publish(request, shown)
        except PlanHasBreaches:
            refused = "Not everything fits. Mend it first, or tick “Publish even so” to publish it as it is."
        except (Overtaken, ValidationError, ValueError) as error:
            refused = in_words(error)
        else:
            messages.success(request, "Published. Instructors and students read this plan from now on.")
            return redirect("lessons:plan", pk)
        shown = get_plan_for(request.user, pk)
    context = plan_state.publishing(shown) | {"refused": refused}
    return render(request, "lessons/plan_publish.html", context)


def _publish(request: HttpRequest, shown: TermPlan) -> None:
    if shown.status == PlanStatus.PUBLISHED:
        raise ValueError("This plan is the published one already.")
    version = whole_number(request.POST.get("version"))
    if version is None:
        raise ValueError("The page you sent was not whole. Read it again and publish.")
    publish_plan(plan=shown, version=version, by=request.user, even_so=bool(request.POST.get("even_so")))
