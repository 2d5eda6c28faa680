"""What a device asks for by itself: its service worker, and whom it may send for."""

from __future__ import annotations

import json

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.templatetags.static import static
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from lessons.device import worker_settings


@require_safe
@never_cache
def service_worker(request: HttpRequest) -> HttpResponse:
    """Served from the root, so that it may answer for every page."""
    files = json.dumps([static("lessons/outbox.js"), static("lessons/keep-worker.js")])
    script = f"self.FREEFOOT = {json.dumps(worker_settings())};\nimportScripts(...{files});\n"
    answer = HttpResponse(script, content_type="text/javascript; charset=utf-8")
    answer["Service-Worker-Allowed"] = "/"
    return answer


@require_safe
@never_cache
def device(request: HttpRequest) -> JsonResponse:
    """Who is signed in here, and a token to send with: what was kept may go out days later."""
    person = request.user.pk if request.user.is_authenticated else None
    return JsonResponse({"person": person, "token": get_token(request)})
