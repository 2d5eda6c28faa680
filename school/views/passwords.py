"""A forgotten password: asked for by e-mail address, chosen anew by the link of the mail."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.views import PasswordResetConfirmView, PasswordResetView
from django.core.cache import cache
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse_lazy
from django.views.decorators.http import require_safe

from school.joining_forms import ForgottenForm, ResetForm
from school.secrets_shown_once import hashed

# A second mail to the same address within this is not sent: nobody fills another's letter box from here.
SECONDS_BETWEEN_MAILS = 300


class Forgotten(PasswordResetView):
    """Mails a link to everybody reached at an address; says the same whether anybody is."""

    form_class = ForgottenForm
    template_name = "school/password_forgotten.html"
    subject_template_name = "school/password_subject.txt"
    email_template_name = "school/password_mail.txt"
    success_url = reverse_lazy("school:password-sent")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(sends_mail=settings.SENDS_MAIL, **kwargs)

    def form_valid(self, form: ForgottenForm) -> HttpResponse:
        asked_for = f"password-of-{hashed(form.cleaned_data['email'].casefold())}"
        if settings.SENDS_MAIL and cache.add(asked_for, True, SECONDS_BETWEEN_MAILS):
            self.extra_email_context = {"school": self.request.school}
            return super().form_valid(form)
        return HttpResponse(status=302, headers={"Location": str(self.success_url)})


class New(PasswordResetConfirmView):
    """The link works once, for as long as `settings.PASSWORD_RESET_TIMEOUT` says."""

    form_class = ResetForm
    template_name = "school/password_new.html"
    success_url = reverse_lazy("school:sign-in")

    def form_valid(self, form: ResetForm) -> HttpResponse:
        answer = super().form_valid(form)
        messages.success(self.request, "Your new password holds from now on. Sign in with it.")
        return answer


forgotten = Forgotten.as_view()
new = New.as_view()


@require_safe
def sent(request: HttpRequest) -> HttpResponse:
    return render(request, "school/password_sent.html")
