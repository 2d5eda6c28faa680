"""Who may do what: one row an address. Director all; instructor reads all, builds routines, keeps the list of
music, and writes the record and notes of own lessons; student reads own courses' levels; nobody else reads
anything."""

from __future__ import annotations

from dataclasses import dataclass

from school.models.people import Role

DIRECTOR = frozenset({Role.DIRECTOR.value})
STAFF = frozenset({Role.DIRECTOR.value, Role.INSTRUCTOR.value})
EVERYONE = frozenset(Role.values)
NOBODY: frozenset[str] = frozenset()
# Also for those not signed in. A marker, compared by identity.
ANYBODY: frozenset[str] = frozenset({"anybody"})
# Whoever is signed in, with a role or without.
ANY_PERSON: frozenset[str] = frozenset({"any person"})


@dataclass(frozen=True)
class Rule:
    """`readers` may GET; `writers` may also POST. A form's GET asks for a writer too."""

    readers: frozenset[str]
    writers: frozenset[str] = NOBODY
    is_form: bool = False
    # Said of the objects behind the address, for the reader of the table; the getters enforce it.
    objects: str = ""


OPEN = Rule(ANYBODY, ANYBODY)
SIGNED_IN = Rule(ANY_PERSON, ANY_PERSON)
READ = Rule(EVERYONE)
STAFF_READ = Rule(STAFF)
DIRECTOR_FORM = Rule(STAFF, DIRECTOR, is_form=True)
STAFF_FORM = Rule(STAFF, STAFF, is_form=True)
STAFF_READ_DIRECTOR_WRITE = Rule(STAFF, DIRECTOR)
OWN_LESSON = Rule(STAFF, STAFF, is_form=True, objects="the director any lesson; an instructor their own")
OWN_PRIVATE = Rule(STAFF, STAFF, is_form=True, objects="the director any; an instructor those they give")
OWN_COURSES = Rule(EVERYONE, objects="a student only levels of courses they are in")
OWN_WORDS = Rule(EVERYONE, EVERYONE, is_form=True, objects="one's own, on figures one may read")

ACCESS: dict[str, Rule] = {
    # school: signing in, people, terms
    "school:sign-in": OPEN,
    "school:sign-out": OPEN,
    "lessons:health": OPEN,
    "lessons:kept-about-me": Rule(ANY_PERSON, objects="one's own"),
    "lessons:kept-about-me-file": Rule(ANY_PERSON, objects="one's own"),
    "lessons:kept-about-me-ask": SIGNED_IN,
    "lessons:person-erase": DIRECTOR_FORM,
    "lessons:home": Rule(ANY_PERSON, objects="each role its own part; without a role a sentence"),
    "school:password": SIGNED_IN,
    "school:password-forgotten": OPEN,
    "school:password-sent": OPEN,
    "school:password-new": Rule(ANYBODY, ANYBODY, objects="whoever has the link of a mail: their own"),
    "school:begin": Rule(ANYBODY, ANYBODY, objects="while nobody is there: whoever reads the server's code"),
    "school:join": Rule(ANYBODY, ANYBODY, objects="whoever has an invitation's link: their own"),
    "school:invite-new": DIRECTOR_FORM,
    "school:invite": DIRECTOR_FORM,
    "school:invitation": Rule(DIRECTOR, objects="the director who just made it, once"),
    "school:invitation-withdraw": DIRECTOR_FORM,
    "school:charts-as": SIGNED_IN,
    "school:my-photographs": SIGNED_IN,
    "school:photographs": DIRECTOR_FORM,
    "school:people": STAFF_READ,
    "school:person": STAFF_READ,
    "school:person-new": DIRECTOR_FORM,
    "school:person-edit": DIRECTOR_FORM,
    "school:person-remove": DIRECTOR_FORM,
    "school:person-roles": DIRECTOR_FORM,
    "school:person-one-time-password": DIRECTOR_FORM,
    "school:set-up": DIRECTOR_FORM,
    "school:room-new": DIRECTOR_FORM,
    "school:room": DIRECTOR_FORM,
    # curriculum
    "curriculum:dances": STAFF_READ,
    "curriculum:dance": OWN_COURSES,
    "curriculum:map": OWN_COURSES,
    "curriculum:dance-new": DIRECTOR_FORM,
    "curriculum:dance-edit": DIRECTOR_FORM,
    "curriculum:dance-remove": DIRECTOR_FORM,
    "curriculum:level-remove": DIRECTOR_FORM,
    "curriculum:figure-remove": DIRECTOR_FORM,
    "curriculum:holds": STAFF_READ,
    "curriculum:hold-new": DIRECTOR_FORM,
    "curriculum:hold-edit": DIRECTOR_FORM,
    "curriculum:hold-remove": DIRECTOR_FORM,
    "curriculum:level-new": DIRECTOR_FORM,
    "curriculum:figures": OWN_COURSES,
    "curriculum:figure": OWN_COURSES,
    "curriculum:figure-new": DIRECTOR_FORM,
    "curriculum:figure-edit": DIRECTOR_FORM,
    "curriculum:prerequisite-add": DIRECTOR_FORM,
    "curriculum:prerequisite-remove": DIRECTOR_FORM,
    "curriculum:chart-new": DIRECTOR_FORM,
    "curriculum:chart-edit": DIRECTOR_FORM,
    "curriculum:passages": DIRECTOR_FORM,
    "curriculum:figure-history": STAFF_READ,
    "curriculum:figure-restore": DIRECTOR_FORM,
    "curriculum:routine": OWN_COURSES,
    "curriculum:routine-new": STAFF_FORM,
    "curriculum:compose": STAFF_FORM,
    "curriculum:routine-edit": STAFF_FORM,
    "curriculum:routine-remove": STAFF_FORM,
    "curriculum:routine-build": STAFF_FORM,
    "curriculum:routine-change": STAFF_FORM,
    "curriculum:routine-undo": STAFF_FORM,
    "curriculum:routine-history": STAFF_READ,
    "curriculum:routine-restore": STAFF_FORM,
    "curriculum:music": STAFF_READ,
    "curriculum:piece-new": STAFF_FORM,
    "curriculum:piece-edit": STAFF_FORM,
    "curriculum:piece-remove": STAFF_FORM,
    "curriculum:spreadsheet-in": DIRECTOR_FORM,
    "curriculum:spreadsheet-confirm": DIRECTOR_FORM,
    "curriculum:spreadsheet-hold": DIRECTOR_FORM,
    "curriculum:spreadsheet-out": STAFF_READ,
    "curriculum:rhythms": OWN_COURSES,
    "curriculum:rhythm-new": DIRECTOR_FORM,
    "curriculum:rhythm-edit": DIRECTOR_FORM,
    "curriculum:rhythm-remove": DIRECTOR_FORM,
    "curriculum:tempo": DIRECTOR_FORM,
    "curriculum:file-in": DIRECTOR_FORM,
    "curriculum:file-confirm": DIRECTOR_FORM,
    "curriculum:file-out": STAFF_READ,
    "curriculum:dance-file-out": STAFF_READ,
    # lessons: terms and courses
    "lessons:term": STAFF_READ,
    "lessons:term-new": DIRECTOR_FORM,
    "lessons:term-edit": DIRECTOR_FORM,
    "lessons:term-remove": DIRECTOR_FORM,
    "lessons:teachers": STAFF_READ,
    "lessons:away-new": DIRECTOR_FORM,
    "lessons:away-remove": DIRECTOR_FORM,
    "lessons:teaches-not-new": DIRECTOR_FORM,
    "lessons:teaches-not-remove": DIRECTOR_FORM,
    "lessons:helper": DIRECTOR_FORM,
    "lessons:helper-off": DIRECTOR_FORM,
    "lessons:school-plan": DIRECTOR_FORM,
    "lessons:school-run": STAFF_READ,
    "lessons:school-run-stop": DIRECTOR_FORM,
    "lessons:school-run-accept": DIRECTOR_FORM,
    "lessons:closure-new": DIRECTOR_FORM,
    "lessons:closure-edit": DIRECTOR_FORM,
    "lessons:course": STAFF_READ,
    "lessons:course-new": DIRECTOR_FORM,
    "lessons:course-edit": DIRECTOR_FORM,
    "lessons:course-remove": DIRECTOR_FORM,
    "lessons:enrol": DIRECTOR_FORM,
    "lessons:enrolment-end": DIRECTOR_FORM,
    "lessons:shapes": STAFF_READ,
    "lessons:shape": DIRECTOR_FORM,
    "lessons:shape-new": DIRECTOR_FORM,
    # lessons: plans
    "lessons:plan": STAFF_READ,
    "lessons:plan-new": DIRECTOR_FORM,
    "lessons:plan-name": DIRECTOR_FORM,
    "lessons:plan-discard": DIRECTOR_FORM,
    "lessons:plan-figure": DIRECTOR_FORM,
    "lessons:plan-figure-try": DIRECTOR_FORM,
    "lessons:plan-figures": DIRECTOR_FORM,
    "lessons:milestone-new": DIRECTOR_FORM,
    "lessons:milestone": DIRECTOR_FORM,
    "lessons:milestone-remove": DIRECTOR_FORM,
    "lessons:plan-duplicate": DIRECTOR_FORM,
    "lessons:plan-compare": STAFF_READ,
    "lessons:plan-compare-with": STAFF_READ,
    "lessons:plan-copy-from": DIRECTOR_FORM,
    "lessons:plan-history": STAFF_READ,
    "lessons:plan-run-way": DIRECTOR_FORM,
    "lessons:plan-picture": STAFF_READ,
    "lessons:term-picture": STAFF_READ,
    "lessons:plan-places": DIRECTOR_FORM,
    "lessons:plan-why": STAFF_READ,
    "lessons:plan-move": DIRECTOR_FORM,
    "lessons:plan-take-back": DIRECTOR_FORM,
    "lessons:plan-now": STAFF_READ,
    "lessons:plan-changes": STAFF_READ,
    "lessons:plan-publish": DIRECTOR_FORM,
    "lessons:plan-again": Rule(STAFF, STAFF, is_form=True, objects="any course; only the director accepts"),
    "lessons:plan-run-start": DIRECTOR_FORM,
    "lessons:plan-run": STAFF_READ,
    "lessons:plan-run-stop": DIRECTOR_FORM,
    "lessons:plan-run-answer": DIRECTOR_FORM,
    # lessons: one lesson
    "lessons:lesson": STAFF_READ,
    "lessons:lesson-cancel": DIRECTOR_FORM,
    "lessons:lesson-move": DIRECTOR_FORM,
    "lessons:lesson-restore": DIRECTOR_FORM,
    "lessons:lesson-give": DIRECTOR_FORM,
    "lessons:lesson-kind": DIRECTOR_FORM,
    "lessons:teaching-pair": OWN_LESSON,
    "lessons:record": OWN_LESSON,
    "lessons:sheet-edit": OWN_LESSON,
    "lessons:live": STAFF_READ,
    "lessons:service-worker": OPEN,
    "lessons:device": OPEN,
    "lessons:partners": STAFF_READ,
    "lessons:helper-call": OWN_LESSON,
    "lessons:helper-call-off": OWN_LESSON,
    "lessons:cover-new": OWN_LESSON,
    "lessons:cover-withdraw": OWN_LESSON,
    # whoever holds a link, without signing in: the secret in the address is the key
    "lessons:cover": OPEN,
    "lessons:not-paired": Rule(STAFF, STAFF, objects="only people in the lesson's course"),
    "lessons:not-paired-end": Rule(STAFF, STAFF, objects="only people in the lesson's course"),
    # lessons: private ones; a student reads their own on their level
    "lessons:private-lessons": Rule(STAFF, objects="the director all; an instructor those they give"),
    "lessons:private-new": OWN_PRIVATE,
    "lessons:private-lesson": OWN_PRIVATE,
    "lessons:private-edit": OWN_PRIVATE,
    "lessons:private-remove": OWN_PRIVATE,
    # lessons: students
    "lessons:my-level": Rule(EVERYONE, objects="only courses the person is in"),
    "lessons:my-level-course": Rule(EVERYONE, objects="only courses the person is in"),
    "lessons:at-home": Rule(EVERYONE, objects="only courses the person is in"),
    "lessons:my-calendar": Rule(EVERYONE, EVERYONE, objects="one's own"),
    # whoever holds the address, without signing in
    "lessons:calendar": OPEN,
    # whoever reads the wall, without signing in
    "lessons:wall": OPEN,
    "lessons:course-wall": STAFF_READ_DIRECTOR_WRITE,
    "lessons:course-wall-withdraw": DIRECTOR_FORM,
    "lessons:ready": Rule(EVERYONE, objects="only courses the person is in"),
    "lessons:sign-offs": STAFF_READ,
    "lessons:sign-off-person": Rule(
        STAFF, STAFF, is_form=True, objects="the director anybody's; an instructor in courses they teach"
    ),
    "lessons:ready-school": STAFF_READ,
    "lessons:requirements": DIRECTOR_FORM,
    "lessons:missed": Rule(EVERYONE, objects="only courses the person is in"),
    "lessons:catch-up-ask": Rule(EVERYONE, EVERYONE, is_form=True, objects="for courses the person is in"),
    "lessons:catch-up-withdraw": Rule(EVERYONE, EVERYONE, is_form=True, objects="one's own"),
    "lessons:catch-up-answer": OWN_LESSON,
    "lessons:own-mark": OWN_WORDS,
    "lessons:own-note": OWN_WORDS,
}
