"""Forms by which somebody comes to sign in: an invitation, a first start, a forgotten password."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.forms import PasswordResetForm

from school.first_start import NOT_THE_CODE, is_code
from school.forms import NewPassword, refuse_taken_username
from school.models import Person, School
from school.plain_forms import PlainWords
from school.zones import ZoneField


class UsernameAndPassword(PlainWords, NewPassword, forms.ModelForm):
    """The name one signs in with, and a password, for `instance`."""

    class Meta:
        model = Person
        fields = ["username"]
        labels = {"username": "Name to sign in with"}
        help_texts = {"username": "Letters, digits and . @ + - _ without spaces."}
        widgets = {"username": forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none"})}

    @property
    def person(self) -> Person:  # type: ignore[override]
        return self.instance

    def clean_username(self) -> str:
        username: str = self.cleaned_data["username"]
        refuse_taken_username(username, but=self.instance)
        return username


class TakeUpForm(UsernameAndPassword):
    """Somebody invited chooses how they sign in."""


class BeginForm(UsernameAndPassword):
    """The first director, the school, and the code that lets them begin it."""

    code = forms.CharField(
        label="Code the server printed",
        help_text="It stands in the window, or the log, where the server was started.",
        widget=forms.TextInput(
            attrs={"autocomplete": "off", "autocapitalize": "none", "spellcheck": "false"}
        ),
    )
    school_name = forms.CharField(label="The school’s name", max_length=120)
    time_zone = ZoneField(initial="Europe/London")
    field_order = ["code", "school_name", "time_zone", "name", "username"]

    class Meta(UsernameAndPassword.Meta):
        fields = ["name", "username"]
        labels = UsernameAndPassword.Meta.labels | {"name": "Your name"}

    def clean_code(self) -> str:
        code: str = self.cleaned_data["code"]
        if not is_code(code):
            raise forms.ValidationError(NOT_THE_CODE)
        return code

    def school(self) -> School:
        """The school as it was typed, not saved."""
        return School(name=self.cleaned_data["school_name"], time_zone=self.cleaned_data["time_zone"])


class ForgottenForm(PlainWords, PasswordResetForm):
    """An e-mail address; whether anybody is reached there is not told."""

    email = forms.EmailField(
        label="E-mail", max_length=254, widget=forms.EmailInput(attrs={"autocomplete": "email"})
    )


class ResetForm(PlainWords, NewPassword):
    """A new password by the link of a mail."""

    def __init__(self, user: Person, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person = user

    def save(self) -> Person:
        self.person.set_password(self.cleaned_data["new_password"])
        self.person.password_is_one_time = False
        self.person.save(update_fields=["password", "password_is_one_time"])
        return self.person
