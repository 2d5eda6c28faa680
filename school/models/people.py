"""People and their roles. One database is one school, so a role needs no school beside it."""

from __future__ import annotations

from collections.abc import Iterable

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.db import models
from django.db.models.functions import Lower


class Role(models.TextChoices):
    """What a person does at the school. A person has a set of these: directors teach, instructors learn."""

    DIRECTOR = "director", "director"
    INSTRUCTOR = "instructor", "instructor"
    STUDENT = "student", "student"


TAKES_LESSONS = frozenset({Role.INSTRUCTOR})
"""Whoever holds one of these may stand in front of a course's lessons."""

GIVES_PRIVATE_LESSONS = frozenset({Role.INSTRUCTOR, Role.DIRECTOR})
"""Whoever holds one of these may give private lessons."""


class ChartsAs(models.TextChoices):
    """Whose part of a step chart somebody wants to see, on every chart."""

    LEADER = "leader", "leader"
    FOLLOWER = "follower", "follower"
    BOTH = "both", "both"


class PersonQuerySet(models.QuerySet["Person"]):
    def with_role(self, *roles: Role | str) -> PersonQuerySet:
        """People who hold at least one of `roles`."""
        return self.filter(personrole__role__in=roles).distinct()

    def not_erased(self) -> PersonQuerySet:
        """Those of whom more is kept than that they are counted."""
        return self.filter(erased_at__isnull=True)

    def instructors(self) -> PersonQuerySet:
        """Who may stand in front of a course's lessons."""
        return self.with_role(*TAKES_LESSONS).filter(is_active=True)

    def who_teach(self) -> PersonQuerySet:
        """Who may give a lesson of any kind: private ones a director may give too."""
        return self.with_role(*GIVES_PRIVATE_LESSONS).filter(is_active=True)


class Person(AbstractBaseUser):
    """Somebody the school knows. Signs in by username; e-mail is optional and shared by guardians."""

    username = models.CharField(
        max_length=150,
        unique=True,
        validators=[UnicodeUsernameValidator()],
        error_messages={"unique": "Somebody already signs in with this name."},
    )
    name = models.CharField(max_length=120)
    email = models.EmailField(blank=True)
    is_minor = models.BooleanField("under 18", default=False)
    guardian_name = models.CharField(max_length=120, blank=True)
    is_active = models.BooleanField(default=True)
    password_is_one_time = models.BooleanField(default=False)
    created_at = models.DateTimeField(auto_now_add=True)
    asked_to_be_erased = models.DateTimeField(null=True, blank=True, editable=False)
    erased_at = models.DateTimeField(null=True, blank=True, editable=False)
    # Empty: never chosen, which shows both.
    charts_as = models.CharField("charts shown as", max_length=8, choices=ChartsAs, blank=True)
    # Nobody asks for it, and each signing in would be a change of a table that most pages show.
    last_login = None

    objects = BaseUserManager.from_queryset(PersonQuerySet)()

    USERNAME_FIELD = "username"
    REQUIRED_FIELDS = ["name"]

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(Lower("username"), name="person_username_once_whatever_its_case"),
        ]

    def __str__(self) -> str:
        return self.shown_name

    @property
    def shown_name(self) -> str:
        """What pages, lists and messages call somebody: whoever is under 18 by first name alone (common
        practice, no source). The whole `name` is read on the person's own pages, by them and the director."""
        return self.first_name if self.is_minor else self.name

    @property
    def first_name(self) -> str:
        """The name used on anything handed on: first names only."""
        return self.name.split()[0] if self.name else self.username

    @property
    def roles(self) -> frozenset[str]:
        """The person's roles. Costs one query the first time, none after."""
        if "_roles" not in self.__dict__:
            self.__dict__["_roles"] = frozenset(row.role for row in self.personrole_set.all())
        return self.__dict__["_roles"]

    def know_roles(self, roles: Iterable[str]) -> None:
        """Roles that were read along, so that they cost no query."""
        self.__dict__["_roles"] = frozenset(roles)

    @property
    def role_names(self) -> list[str]:
        """What the person is here, in words. Costs what `roles` does."""
        return [str(role.label) for role in Role if role in self.roles]

    @property
    def is_director(self) -> bool:
        return Role.DIRECTOR in self.roles

    @property
    def is_instructor(self) -> bool:
        return Role.INSTRUCTOR in self.roles

    @property
    def is_student(self) -> bool:
        return Role.STUDENT in self.roles


class PersonRoleQuerySet(models.QuerySet["PersonRole"]):
    def held_by(self, person: str, roles: Iterable[str]) -> models.Exists:
        """Whether whom a row names in its field `person` holds one of `roles`: read along with the row."""
        return models.Exists(self.filter(person=models.OuterRef(person), role__in=roles))


class PersonRole(models.Model):
    person = models.ForeignKey(Person, on_delete=models.CASCADE)
    role = models.CharField(max_length=12, choices=Role)

    objects = PersonRoleQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["person", "role"], name="person_has_a_role_once"),
            models.CheckConstraint(condition=models.Q(role__in=Role.values), name="person_role_is_known"),
        ]

    def __str__(self) -> str:
        return f"{self.person_id}: {self.role}"
