"""The school itself made into rows: its rooms, the shapes of its lessons, its people."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.contrib.auth.hashers import make_password

from lessons.demo.read import Row, look_up, read
from lessons.models import LessonShape, ShapeSegment
from school.models import Person, PersonRole, PhotoWord, Room, School

PASSWORD = "freefoot-demo"  # noqa: S105 (the demo says it aloud)


@dataclass
class SchoolRows:
    """The rows everything else refers to, by the names the data files use."""

    school: School
    rooms: dict[str, Room]
    shapes: dict[str, LessonShape]
    people: dict[str, Person]

    def person(self, name: str) -> Person:
        return look_up(self.people, name, "person")


def load_school(*, today: dt.date) -> SchoolRows:
    """Write what school.toml says. A fixed number of queries, and one password hash for each sign-in."""
    data = read("school")
    rooms = Room.objects.bulk_create(Room(**row) for row in data["room"])
    return SchoolRows(
        school=School.objects.create(**{key: str(text).strip() for key, text in data["school"].items()}),
        rooms={room.name: room for room in rooms},
        shapes=_load_shapes(data["shape"]),
        people=_load_people(data["person"], today),
    )


def _load_shapes(data: list[Row]) -> dict[str, LessonShape]:
    shapes = LessonShape.objects.bulk_create(
        LessonShape(
            name=row["name"], is_default=row.get("is_default", False), for_kind=row.get("for_kind", "")
        )
        for row in data
    )
    ShapeSegment.objects.bulk_create(
        ShapeSegment(shape=shape, position=position, **segment)
        for shape, row in zip(shapes, data, strict=True)
        for position, segment in enumerate(row["segments"])
    )
    return {shape.name: shape for shape in shapes}


def _load_people(data: list[Row], today: dt.date) -> dict[str, Person]:
    people = Person.objects.bulk_create(_person_row(row) for row in data)
    PersonRole.objects.bulk_create(
        PersonRole(person=person, role=role)
        for person, row in zip(people, data, strict=True)
        for role in row["roles"]
    )
    _load_photo_words(people, data, today)
    return {person.name: person for person in people}


def _load_photo_words(people: list[Person], data: list[Row], today: dt.date) -> None:
    """As it was said when they were entered; whoever said nothing has yet to be asked."""
    PhotoWord.objects.bulk_create(
        PhotoWord(
            person=person,
            agrees=row["photographs"] == "yes",
            said_on=today,
            by_guardian=person.is_minor,
        )
        for person, row in zip(people, data, strict=True)
        if "photographs" in row
    )


def _person_row(row: Row) -> Person:
    """Whose username is given can sign in; nobody else can, until the director makes them a password."""
    own = row["name"].casefold().replace(" ", ".")
    return Person(
        username=row.get("username", own),
        name=row["name"],
        email=row.get("email", f"{own}@example.org"),
        is_minor=row.get("is_minor", False),
        guardian_name=row.get("guardian_name", ""),
        password=make_password(PASSWORD if "username" in row else None),
    )
