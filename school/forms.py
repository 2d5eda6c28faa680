"""Forms about people, passwords and the school itself. Errors stand at the field, in a sentence."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth import password_validation
from django.contrib.auth.forms import AuthenticationForm
from django.core.exceptions import ValidationError

from school.hooks import leaving_notes
from school.models import Person, Role, Room, School
from school.people_search import people_named
from school.plain_forms import PlainWords, ReadFirst
from school.rules.guardians import looks_like_their_own
from school.second_writer import BeganFrom, OneRow
from school.zones import ZoneField


class SignInForm(PlainWords, AuthenticationForm):
    error_messages = {
        "invalid_login": "That name and password do not go together. Capital letters count in both.",
        "inactive": "This person no longer signs in here. Ask a director.",
    }


class NewPassword(forms.Form):
    """A new password, typed twice, for `self.person`."""

    person: Person
    new_password = forms.CharField(
        label="New password",
        strip=False,
        help_text="At least ten characters; a short sentence is easy to keep in mind.",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    again = forms.CharField(
        label="New password, once more",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def clean_new_password(self) -> str:
        password = self.cleaned_data["new_password"]
        password_validation.validate_password(password, self.person)
        return password

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if {"new_password", "again"} <= data.keys() and data["new_password"] != data["again"]:
            self.add_error("again", "The two are not the same.")
        return data


class ChoosePasswordForm(PlainWords, NewPassword):
    """The present password is asked for unless it was a one-time password."""

    old_password = forms.CharField(
        label="Password until now",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    field_order = ["old_password"]

    def __init__(self, person: Person, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person = person
        if person.password_is_one_time:
            del self.fields["old_password"]

    def clean_old_password(self) -> str:
        password = self.cleaned_data["old_password"]
        if not self.person.check_password(password):
            raise ValidationError("This is not your password.")
        return password

    def clean_new_password(self) -> str:
        password = super().clean_new_password()
        if self.person.check_password(password):
            raise ValidationError("This is the password you have now. Choose another.")
        return password


class RolesField(forms.MultipleChoiceField):
    """What a person does here: any of the roles, or none for someone who only stands in the records."""

    def __init__(self) -> None:
        super().__init__(
            label="Roles",
            choices=Role.choices,
            required=False,
            widget=forms.CheckboxSelectMultiple,
            help_text="A director sees and changes everything, an instructor reads all and records lessons, "
            "a student reads their own courses.",
        )


def refuse_taken_username(username: str, *, but: Person) -> None:
    """ValidationError where somebody but `but` signs in with this name, in capital letters or small ones."""
    if username and Person.objects.filter(username__iexact=username).exclude(pk=but.pk).exists():
        raise ValidationError("Somebody already signs in with this name.")


class PersonForm(OneRow, ReadFirst, PlainWords, forms.ModelForm):
    """Who somebody is and how they are reached: whoever is under 18 through a guardian."""

    class Meta:
        model = Person
        fields = ["name", "username", "email", "is_minor", "guardian_name"]
        labels = {
            "username": "Name to sign in with",
            "email": "E-mail",
            "guardian_name": "Guardian",
        }
        help_texts = {
            "username": "Letters, digits and . @ + - _ without spaces.",
            "email": "May stay empty. For somebody under 18 the guardian's address, never their own: "
            "invitations and new passwords go there.",
            "is_minor": "Lists then show the first name alone; a surname is read by directors only.",
            "guardian_name": "For somebody under 18: who answers for them.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # Before what was sent is put in its place.
        self.was_minor, self.address_before = self.instance.is_minor, self.instance.email

    def clean_username(self) -> str:
        username = self.cleaned_data["username"]
        refuse_taken_username(username, but=self.instance)
        return username

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if data.get("is_minor"):
            self._refuse_no_guardian(data.get("guardian_name", ""), data.get("name", ""))
        elif data.get("guardian_name"):
            if not self.was_minor:
                self.add_error(
                    "is_minor", "A guardian is kept of somebody under 18 only. Tick this, or leave it out."
                )
            data["guardian_name"] = ""
        self._refuse_whose_it_was(data)
        return data

    def _refuse_no_guardian(self, guardian: str, name: str) -> None:
        if not guardian:
            self.add_error("guardian_name", "Say who the guardian of somebody under 18 is.")
        elif guardian.casefold().split() == name.casefold().split():
            self.add_error(
                "guardian_name", "Nobody is their own guardian. Name the adult who answers for them."
            )

    def _refuse_whose_it_was(self, data: dict[str, Any]) -> None:
        """An address kept as somebody's own is no guardian's, and the other way round."""
        changes_side = self.instance.pk is not None and data.get("is_minor") != self.was_minor
        if not changes_side or not data.get("email") or data["email"] != self.address_before:
            return
        self.add_error(
            "email",
            "This is still the guardian's address. Write their own, or leave it empty."
            if self.was_minor
            else "This was kept as their own address. Write the guardian's, or leave it empty.",
        )

    def follows(self) -> list[str]:
        """What to read first: that the address of somebody under 18 looks like their own. No query."""
        data = self.cleaned_data
        guardian, email = data["guardian_name"], data["email"]
        if not data["is_minor"] or not looks_like_their_own(email, name=data["name"], guardian=guardian):
            return []
        return [
            f"{email} looks like an address of {data['name'].split()[0]}’s own. Somebody under 18 is reached "
            f"through the guardian: write the address of {guardian}, or leave it empty. Go on only if this "
            "is the guardian’s all the same."
        ]


class InviteForm(PersonForm):
    """Somebody new, with roles; they choose the name they sign in with themselves."""

    roles = RolesField()

    class Meta(PersonForm.Meta):
        fields = ["name", "email", "is_minor", "guardian_name"]

    def follows(self) -> list[str]:
        """The same, and that a person of this name, or reached at this address, is there. Two queries at
        most."""
        alike = super().follows() + [
            f"There is a person called {other.name} already, who signs in as {other.username}. "
            "Add another only if these are two people."
            for other in people_named(self.cleaned_data["name"])
        ]
        email = self.cleaned_data["email"]
        if email and not self.cleaned_data["is_minor"]:
            alike += [
                f"{other} is reached at {email} already. Somebody with two tasks here needs one entry "
                "with both roles."
                for other in Person.objects.filter(email__iexact=email).order_by("name", "pk")
            ]
        return alike


class NewPersonForm(InviteForm):
    """The same without an invitation; the name to sign in with may be left to us."""

    class Meta(PersonForm.Meta):
        pass

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["username"].required = False
        self.fields["username"].help_text = "May stay empty: it is then made of the name, like edda.hartigan."


class RolesForm(BeganFrom, ReadFirst, PlainWords, forms.Form):
    """What somebody does here. Leaving, and teaching no more, are read of first."""

    roles = RolesField()
    is_active = forms.BooleanField(
        label="Is at the school",
        required=False,
        help_text="Take the tick away for somebody who has left: they can no longer sign in, and what "
        "they danced and taught stays in the records.",
    )

    def __init__(self, person: Person, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person = person
        self.begin_from(self.as_typed(person))

    @staticmethod
    def as_typed(person: Person) -> dict[str, Any]:
        """What the form shows of somebody. One query at most."""
        return {"roles": sorted(person.roles), "is_active": person.is_active}

    def follows(self) -> list[str]:
        """What to read first: of whoever leaves, or loses a role, what they leave behind."""
        stays, name = self.cleaned_data["is_active"], self.person.first_name
        kept = frozenset(self.cleaned_data["roles"]) if stays else frozenset()
        if not self.person.is_active or self.person.roles <= kept:
            return []
        said = [sentence for note in leaving_notes for sentence in note(self.person, kept)]
        if stays:
            first = f"{name} takes none of these lessons to come any more."
        else:
            first = f"{name} is signed out everywhere at once and cannot sign in again."
        return [first, *said] if said else []


class SchoolForm(OneRow, PlainWords, forms.ModelForm):
    time_zone = ZoneField()

    class Meta:
        model = School
        fields = [
            "name",
            "town",
            "time_zone",
            "who_moves",
            "minutes_with_a_partner",
            "first_aid",
            "safeguarding",
        ]
        labels = {"who_moves": "When partners change", "safeguarding": "Safeguarding"}
        help_texts = {
            "minutes_with_a_partner": "Before partners change again.",
            "first_aid": "First aider and exits, for whoever takes over a lesson.",
            "safeguarding": "The named person, and the house rules on touch and on minors.",
        }


class RoomForm(OneRow, PlainWords, forms.ModelForm):
    class Meta:
        model = Room
        fields = [
            "name",
            "people",
            "length_metres",
            "width_metres",
            "floor",
            "travelling_dances",
            "music_off",
            "note",
        ]
        labels = {"travelling_dances": "Room enough for dances that travel"}
        widgets = {"music_off": forms.TimeInput(attrs={"type": "time"})}
