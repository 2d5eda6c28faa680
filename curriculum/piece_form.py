"""A piece of music as its owner types it."""

from __future__ import annotations

import math
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F

from curriculum.models import Piece
from curriculum.models.music import QUICKEST, SLOWEST
from curriculum.routine_forms import LengthField
from curriculum.rules.music_fit import say_length
from school.errors import Overtaken
from school.plain_forms import PlainWords


class PieceForm(PlainWords, forms.ModelForm):
    seconds = LengthField(label="Length", help_text="Minutes and seconds, like 2:45.")
    version = forms.IntegerField(required=False, widget=forms.HiddenInput)

    class Meta:
        model = Piece
        fields = ("title", "dance", "beats_per_minute", "seconds", "intro_beats")
        labels = {"beats_per_minute": "Beats a minute", "intro_beats": "Beats of intro"}
        help_texts = {
            "beats_per_minute": f"From {SLOWEST} to {QUICKEST}. In 3/4, three to the bar.",
            "intro_beats": "How many beats go by before the first step.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["intro_beats"].required = False
        self.initial["version"] = self.instance.version
        if self.instance.pk:
            self.initial["seconds"] = say_length(self.instance.seconds)

    def clean_intro_beats(self) -> int:
        return self.cleaned_data["intro_beats"] or 0

    def clean(self) -> dict[str, Any]:
        found = dict(super().clean() or self.cleaned_data)
        same = Piece.objects.filter(dance=found.get("dance"), title__iexact=found.get("title", ""))
        if found.get("dance") and same.exclude(pk=self.instance.pk).exists():
            raise ValidationError({"title": f"There is a piece of this title for {found['dance']} already."})
        self._refuse_long_intro(found)
        return found

    def _refuse_long_intro(self, found: dict[str, Any]) -> None:
        """Some of the piece is left to dance to."""
        beats, seconds, tempo = (found.get(name) for name in ("intro_beats", "seconds", "beats_per_minute"))
        if not (beats and seconds and tempo):
            return
        most = math.ceil(seconds * tempo / 60) - 1
        if beats > most:
            sentence = (
                f"The intro is longer than the piece: at {float(tempo):g} beats a minute "
                f"{say_length(seconds)} has {most + 1:,} beats. Write {most:,} or less."
            )
            self.add_error("intro_beats", sentence)

    @transaction.atomic
    def write(self) -> Piece:
        """The piece, saved. Overtaken where somebody changed it since `version`."""
        piece: Piece = self.instance
        if piece.pk:
            seen = self.cleaned_data["version"] or 0
            if not Piece.objects.filter(pk=piece.pk, version=seen).update(version=F("version") + 1):
                stands = Piece.objects.get(pk=piece.pk)
                raise Overtaken(
                    f"Somebody else changed this piece while you had it open. It is now “{stands.title}”, "
                    f"{float(stands.beats_per_minute):g} beats a minute, {say_length(stands.seconds)} long, "
                    f"{stands.intro_beats} beats of intro. What you typed stands below, not saved yet: save "
                    "again, and it counts."
                )
            piece.version = seen + 1
        piece.save()
        return piece
