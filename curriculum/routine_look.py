"""How a routine's page is looked at: what its address says, kept from page to page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from urllib.parse import urlencode

from django.http import QueryDict

from curriculum.models import Routine
from curriculum.routine_clock import Moments, moments_of
from curriculum.routine_forms import LookForm
from curriculum.routine_music import USUAL_LENGTH, usual_tempo
from curriculum.rules.music_fit import say_length
from school.models import Person

KEPT = ("clock", "tempo", "length")


@dataclass(frozen=True)
class Look:
    """form: shows what was asked for, and what of it makes no sense. kept: the address's part that says so,
    "" or "clock=…&tempo=…"."""

    moments: Moments
    form: LookForm
    tempo: Decimal | None
    seconds: int | None
    kept: str


def look_of(routine: Routine, reader: Person, asked: Mapping[str, str]) -> Look:
    """What makes no sense is said at its field, and the usual is shown."""
    moments = moments_of(routine, reader, asked.get("clock", ""))
    given = {name: asked[name][:20] for name in KEPT if asked.get(name)}
    tempo = usual_tempo(routine.level.dance)
    usual = {"clock": moments.chosen.key, "tempo": f"{float(tempo):g}" if tempo else ""}
    form = LookForm(moments, usual | {"length": say_length(USUAL_LENGTH)} | given)
    form.is_valid()
    return Look(
        moments=moments,
        form=form,
        tempo=form.cleaned_data.get("tempo"),
        seconds=form.cleaned_data.get("length"),
        kept=urlencode(given),
    )


def kept_of(sent: str) -> str:
    """What a form sent back of an address, with only what belongs there."""
    asked = QueryDict(sent[:200])
    return urlencode({name: asked[name][:20] for name in KEPT if asked.get(name)})
