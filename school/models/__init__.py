from school.models.calendar import Closure, Term
from school.models.people import Person, PersonRole, Role
from school.models.places import Room, School

__all__ = ["Closure", "Person", "PersonRole", "Role", "Room", "School", "Term"]
