"""How a figure's steps and lengths are said on a page."""

from __future__ import annotations

from django import template

from curriculum.chart_table import turn_words
from curriculum.spreadsheet.cells import say_ticks

register = template.Library()
register.filter("turn", turn_words)
register.filter("beats_of", say_ticks)
