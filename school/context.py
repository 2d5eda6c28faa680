"""What every page knows: the school, today, and which entry of the menu it belongs to."""

from typing import Any

from django.http import HttpRequest

from school.clock import today
from school.sections import section_of


def house(request: HttpRequest) -> dict[str, Any]:
    match = request.resolver_match
    section = section_of(match.view_name) if match else ""
    return {"school": getattr(request, "school", None), "today": today(), "section": section}
