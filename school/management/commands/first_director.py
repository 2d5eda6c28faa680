"""`manage.py first_director USERNAME NAME`: how a school of one's own begins."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser

from school.actions import first_director


class Command(BaseCommand):
    help = "Begins a school: makes its first director and prints the password they sign in with once."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("username", help="the name the director signs in with")
        parser.add_argument("name", help="the director's own name, in quotes")
        parser.add_argument("--school", default="Our school", help="the school's name")
        parser.add_argument("--time-zone", default="Europe/London", help="like Europe/London")

    def handle(self, *, username: str, name: str, school: str, time_zone: str, **options: Any) -> None:
        try:
            password = first_director(username=username, name=name, school_name=school, time_zone=time_zone)
        except ValidationError as error:
            raise CommandError(" ".join(error.messages)) from error
        self.stdout.write(f"{name} signs in as {username} with the password {password}")
        self.stdout.write("It is for one time: they are asked for one of their own first.")
