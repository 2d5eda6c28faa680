from school.models.calendar import Closure, Term
from school.models.consents import PhotoWord
from school.models.joining import FirstStartCode, Invitation
from school.models.people import GIVES_PRIVATE_LESSONS, TAKES_LESSONS, Person, PersonRole, Role
from school.models.places import Room, School
from school.models.secrets import OpenedBySecret

__all__ = [
    "GIVES_PRIVATE_LESSONS",
    "TAKES_LESSONS",
    "Closure",
    "FirstStartCode",
    "Invitation",
    "OpenedBySecret",
    "Person",
    "PersonRole",
    "PhotoWord",
    "Role",
    "Room",
    "School",
    "Term",
]
