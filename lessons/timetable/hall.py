"""What the hall asks of a lesson: its room's rules, and hours at which people dance."""

from __future__ import annotations

from curriculum.models import FloorUse
from lessons.models import LessonSession
from lessons.rules.room import RoomRule, RoomTonight, odd_hour, room_rules


def room_asks(lesson: LessonSession, *, people: int) -> tuple[RoomRule, ...]:
    """The rules of the lesson's room that bear on it. `people`: dancers, helpers called and those in
    front. No query, where the lesson came with its room and its course's dance."""
    room, dance = lesson.room, lesson.course.dance
    return room_rules(
        RoomTonight(
            people_allowed=room.people,
            people=people,
            allows_travelling=room.travelling_dances,
            dance=dance.name,
            dance_travels=dance.floor_use == FloorUse.TRAVELS,
            music_off=room.music_off,
            starts=lesson.start,
            ends=lesson.end,
        )
    )


def against_the_hall(lesson: LessonSession, *, people: int) -> list[str]:
    """What a director should read before a lesson stands there: an odd hour, a rule of the room broken."""
    broken = [
        f"{lesson.room}: {rule.sentence}" for rule in room_asks(lesson, people=people) if rule.is_broken
    ]
    return [*odd_hour(lesson.start), *broken]
