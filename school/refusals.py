"""What an action refuses, said where the reader can mend it."""

from __future__ import annotations

from collections.abc import Callable

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest


def in_words(refused: Exception) -> str:
    """All its sentences in a row."""
    return " ".join(refused.messages) if isinstance(refused, ValidationError) else str(refused)


def carried_out(request: HttpRequest, write: Callable[[], object]) -> bool:
    """Write it; what is refused stands over the next page, and the answer is no."""
    try:
        write()
    except ValidationError as refused:
        messages.error(request, in_words(refused))
        return False
    return True


def put_on_form(form: forms.BaseForm, refused: Exception) -> None:
    """At its field where the refusal names one that the form has; else over the whole form."""
    if not isinstance(refused, ValidationError):
        form.add_error(None, str(refused))
    elif hasattr(refused, "error_dict"):
        for field, errors in refused.message_dict.items():
            form.add_error(field if field in form.fields else None, errors)
    else:
        form.add_error(None, refused)


def done(form: forms.BaseForm, write: Callable[[], object]) -> bool:
    """Write it; what is refused stands at its field, and the answer is no."""
    try:
        write()
    except ValidationError as refused:
        put_on_form(form, refused)
        return False
    return True
