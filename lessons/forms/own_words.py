"""A student's own note on a figure."""

from __future__ import annotations

from typing import Any

from django import forms

from school.plain_forms import PlainWords

MOST = 2000


class NoteForm(PlainWords, forms.Form):
    """`version`: of the note it began from, 0 for none."""

    text = forms.CharField(
        label="My note",
        required=False,
        max_length=MOST,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="Only you read it. Emptied, it is gone.",
        error_messages={
            "max_length": "The note has %(show_value)d characters; %(limit_value)d fit. Nothing was cut off."
        },
    )
    version = forms.IntegerField(min_value=0, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # A browser would cut a long note off without a word.
        del self.fields["text"].widget.attrs["maxlength"]
