"""What every page knows: the school, today, and which entry of the menu it belongs to."""

from typing import Any

from django.http import HttpRequest

from school.clock import today
from school.sections import section_of


def house(request: HttpRequest) -> dict[str, Any]:
    match = request.resolver_match
    section = section_of(match.view_name) if match else ""
    known = {"school": getattr(request, "school", None), "today": today(), "section": section}
    if place := getattr(request, "token_stands_here", None):
        # In a page that is kept; the reader's own is put there when it is answered.
        known["csrf_token"] = place
    return known
