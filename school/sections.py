"""Which entry of the menu a page belongs to."""

from __future__ import annotations

# The first that an address's name (app:name) begins with, from the special to the general.
SECTIONS = (
    ("lessons:home", "today"),
    ("lessons:kept-about", "me"),
    ("lessons:person", "people"),
    ("lessons:helper", "people"),
    ("lessons:my-level", "my-level"),
    ("lessons:my-calendar", "my-level"),
    ("lessons:at-home", "my-level"),
    ("lessons:missed", "my-level"),
    ("lessons:ready-school", "term"),
    ("lessons:ready", "my-level"),
    ("lessons:own-", "my-level"),
    ("lessons:private", "private"),
    ("lessons:", "term"),
    ("curriculum:figures", "find"),
    ("curriculum:", "dances"),
    ("school:people", "people"),
    ("school:person", "people"),
    ("school:photographs", "people"),
    ("school:invit", "people"),
    ("school:set-up", "school"),
    ("school:room", "school"),
    ("school:password", "me"),
)


def section_of(view_name: str) -> str:
    """ "term" for a course, a lesson, a plan; "" for a page that belongs to none."""
    return next((section for start, section in SECTIONS if view_name.startswith(start)), "")
