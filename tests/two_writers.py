"""A form as a browser has it: opened, some of it changed, sent whole."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.test import Client


def opened(client: Client, address: str) -> dict[str, Any]:
    """Everything the form at this address would send if it were sent as it stands."""
    form = client.get(address).context["form"]
    sent = {field.html_name: field.value() for field in form}
    return {name: _as_sent(value) for name, value in sent.items() if value not in (None, False)}


def change(client: Client, address: str, **typed: Any) -> HttpResponse:
    """The form opened and sent with these fields changed; None leaves a field out."""
    sent = opened(client, address) | typed
    return client.post(address, {name: value for name, value in sent.items() if value is not None})


def _as_sent(value: Any) -> Any:
    if value is True:
        return "on"
    if isinstance(value, (list, tuple)):
        return [getattr(one, "pk", one) for one in value]
    return value
