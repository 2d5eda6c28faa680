"""Answers that an address alone opens: no copy of them is kept, and nobody learns the address by them."""

from __future__ import annotations

from django.http import HttpResponse

KEPT_TO_ITSELF = {
    "Cache-Control": "no-store",
    "Referrer-Policy": "no-referrer",
    "X-Robots-Tag": "noindex, nofollow",
}


def kept_to_itself(answer: HttpResponse) -> HttpResponse:
    for name, value in KEPT_TO_ITSELF.items():
        answer.headers[name] = value
    return answer
