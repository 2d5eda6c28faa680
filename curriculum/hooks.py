"""Where apps that know more than the curriculum add to its pages. They register when they are made ready."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, field
from typing import Any

from django.utils.safestring import SafeString

from curriculum.models import Figure
from school.models import Person

EMPTY = SafeString("")


@dataclass(frozen=True)
class RenderedSection:
    """A section of a page. `key`: its anchor; `title`: its heading; `html`: what stands under it.

    One with forms in it, which must know the request, gives the `template` the page shows it with, and in
    `own` what that reads; `style`, `script`: the stylesheet and the module it needs. `early`: it stands
    right under how the figure goes.
    """

    key: str
    title: str
    html: SafeString = EMPTY
    template: str = ""
    own: dict[str, Any] = field(default_factory=dict)
    style: str = ""
    script: str = ""
    early: bool = False


FigureNote = Callable[[Figure, Person], RenderedSection | None]
"""A figure and who reads its page -> a section about it, or None for nothing to say. It costs a number of
queries that does not depend on how much there is."""

figure_notes: list[FigureNote] = []

RolesDanced = Callable[[Person, int], Collection[str]]
"""Somebody and a dance (pk) -> values of FloorRole: the roles they dance there. One query."""

roles_danced: list[RolesDanced] = []
