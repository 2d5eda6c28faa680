"""What every page knows: the school, and today."""

from typing import Any

from django.http import HttpRequest

from school.clock import today


def house(request: HttpRequest) -> dict[str, Any]:
    return {"school": getattr(request, "school", None), "today": today()}
