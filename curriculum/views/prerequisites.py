"""What a figure needs: adding and taking away."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from curriculum import actions
from curriculum.access import get_figure_for
from curriculum.models import Figure
from school.methods import require_form
from school.plain_forms import PlainWords


class NeedForm(PlainWords, forms.Form):
    needs = forms.ModelChoiceField(queryset=None, label="It needs", empty_label="choose a figure")
    same_evening = forms.BooleanField(
        required=False,
        label="The two may be new on the same evening",
        help_text="Otherwise what it needs must be taught in an earlier lesson.",
    )

    def __init__(self, figure: Figure, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        # Of all figures, not only those that may be chosen: why one may not is said at the field.
        others = Figure.objects.filter(dance=figure.dance_id).exclude(pk=figure.pk)
        self.fields["needs"].queryset = others.in_teaching_order()


@require_form
def add(request: HttpRequest, pk: int) -> HttpResponse:
    figure = get_figure_for(request.user, pk)
    form = NeedForm(figure, request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            actions.add_prerequisite(figure=figure, by=request.user, **form.cleaned_data)
        except ValidationError as refusal:
            form.add_error(None, refusal)
        else:
            messages.success(request, f"{figure} needs {form.cleaned_data['needs']} from now on.")
            return redirect("curriculum:prerequisite-add", pk)
    needs = figure.prerequisites.select_related("needs__level").order_by("needs__level__rank", "needs__order")
    context = {"form": form, "figure": figure, "needs": needs}
    return render(request, "curriculum/prerequisites.html", context)


@require_POST
def remove(request: HttpRequest, pk: int, needs: int) -> HttpResponse:
    figure = get_figure_for(request.user, pk)
    needed = get_object_or_404(Figure, pk=needs, dance=figure.dance_id)
    actions.remove_prerequisite(figure=figure, needs=needed, by=request.user)
    messages.success(request, f"{figure} no longer needs {needed}.")
    return redirect("curriculum:prerequisite-add", pk)
