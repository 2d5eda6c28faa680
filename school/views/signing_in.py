"""Signing in and out, and choosing one's own password."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from school.forms import ChoosePasswordForm, SignInForm
from school.methods import require_form
from school.models import Person


class SignIn(LoginView):
    """The framework's own, which knows a safe way back and the throttle; it says what to do at the start."""

    template_name = "school/sign_in.html"
    authentication_form = SignInForm
    redirect_authenticated_user = True

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(
            nobody_yet=not Person.objects.exists(), unsent="unsent" in self.request.GET, **kwargs
        )


sign_in = SignIn.as_view()


class SignOut(LogoutView):
    """Also tells the browser to forget what it keeps for halls without network, scripts or no scripts."""

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        response = super().dispatch(request, *args, **kwargs)
        if request.method == "POST":
            response["Clear-Site-Data"] = '"storage"'
        return response


sign_out = SignOut.as_view()


@require_form
def password(request: HttpRequest) -> HttpResponse:
    person = request.user
    form = ChoosePasswordForm(person, request.POST or None)
    if request.method == "POST" and form.is_valid():
        person.set_password(form.cleaned_data["new_password"])
        person.password_is_one_time = False
        person.save(update_fields=["password", "password_is_one_time"])
        update_session_auth_hash(request, person)
        messages.success(request, "Your new password holds from now on.")
        return redirect("lessons:home")
    return render(request, "school/password.html", {"form": form})
