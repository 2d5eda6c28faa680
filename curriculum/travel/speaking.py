"""A dance's references in the names of afterwards: what the file or the school calls something, both call it
the same then. Pure."""

from __future__ import annotations

from dataclasses import dataclass, replace

from curriculum.rules.naming import name_key
from curriculum.travel import values
from curriculum.travel.naming import Lookup
from curriculum.travel.values import Mistake


@dataclass(frozen=True, slots=True)
class Names:
    """What each name means afterwards."""

    levels: Lookup
    holds: Lookup
    figures: Lookup

    @classmethod
    def of(cls, dance: str, mistakes: list[Mistake]) -> Names:
        return cls(*(Lookup(kind, dance, mistakes) for kind in ("level", "hold", "figure")))

    @property
    def by_kind(self) -> dict[str, Lookup]:
        return {"levels": self.levels, "holds": self.holds, "figures": self.figures}


def speak_of(dance: values.Dance, names: Names) -> values.Dance:
    """The dance with every level, hold and figure by its name afterwards. A name that means nothing is left
    out and noted as a mistake by the lookup."""
    speaker = _Speaker(dance.name, names)
    return replace(
        dance,
        levels=tuple(replace(row, name=speaker.level(row.name, "levels")) for row in dance.levels),
        holds=tuple(map(speaker.hold_row, dance.holds)),
        figures=tuple(map(speaker.figure, dance.figures)),
        routines=tuple(map(speaker.routine, dance.routines)),
    )


class _Speaker:
    def __init__(self, dance: str, names: Names) -> None:
        self.dance = dance
        self.names = names

    def level(self, name: str, place: str) -> str:
        return self.names.levels.find(name, f"{self.dance}, {place}") or name

    def hold(self, name: str | None, place: str) -> str | None:
        return name and self.names.holds.find(name, f"{self.dance}, {place}")

    def known_figure(self, name: str | None, place: str) -> str | None:
        return name and self.names.figures.find(name, f"{self.dance}, {place}")

    def hold_row(self, row: values.Hold) -> values.Hold:
        place = f"hold “{row.name}”, turns_into"
        into = {found for name in row.turns_into if (found := self.hold(name, place))}
        return replace(row, name=str(self.hold(row.name, place)), turns_into=tuple(sorted(into)))

    def figure(self, row: values.Figure) -> values.Figure:
        place = f"figure “{row.name}”"
        needs = {
            found: together
            for name, together in row.needs
            if (found := self.known_figure(name, f"{place}, needs"))
        }
        name = str(self.known_figure(row.name, place))
        return replace(
            row,
            name=name,
            other_names=_without(name, row.other_names if name == row.name else row.names),
            level=self.level(row.level, f"{place}, level"),
            needs=tuple(sorted(needs.items())),
            extension=self.known_figure(row.extension, f"{place}, extension"),
            easier_form=self.known_figure(row.easier_form, f"{place}, easier_form"),
            open_form=self.known_figure(row.open_form, f"{place}, open_form"),
            charts=tuple(
                self._chart(chart, f"{place}, chart {_said(chart.name, number)}")
                for number, chart in enumerate(row.charts, start=1)
            ),
            passages=tuple(
                replace(
                    passage,
                    entry_hold=self.hold(passage.entry_hold, f"{place}, passage {number}, from"),
                    exit_hold=self.hold(passage.exit_hold, f"{place}, passage {number}, to"),
                )
                for number, passage in enumerate(row.passages, start=1)
            ),
        )

    def _chart(self, row: values.Chart, place: str) -> values.Chart:
        return replace(
            row,
            leader=self._steps(row.leader, f"{place}, leader’s step"),
            follower=self._steps(row.follower, f"{place}, follower’s step"),
        )

    def _steps(self, steps: tuple[values.Step, ...], place: str) -> tuple[values.Step, ...]:
        return tuple(
            replace(step, hold=self.hold(step.hold, f"{place} {number}")) if step.hold else step
            for number, step in enumerate(steps, start=1)
        )

    def routine(self, row: values.Routine) -> values.Routine:
        place = f"routine “{row.name}”"
        before = row.continues
        return replace(
            row,
            level=self.level(row.level, f"{place}, level"),
            continues=before and (self.level(before[0], f"{place}, continues"), before[1]),
            dances=tuple(
                item
                and replace(item, figure=self.known_figure(item.figure, f"{place}, place {number}") or "")
                for number, item in enumerate(row.dances, start=1)
            ),
        )


def _without(main: str, names: tuple[str, ...]) -> tuple[str, ...]:
    """The other names of a figure that has this main name: one that gets a new one keeps its old."""
    return tuple(name for name in names if name_key(name) != name_key(main))


def _said(name: str, number: int) -> str:
    return f"“{name}”" if name else str(number)
