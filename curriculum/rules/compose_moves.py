"""The runs of a net as arrays: from where a couple stands, and what it danced, to where it stands next."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from curriculum.rules.compose_net import Net

Ints = npt.NDArray[np.int64]
_Standing = tuple[int, tuple[int, ...]]


class Moves:
    """All moves of a net, by standings: a place together with the last figures danced, as many different
    ones as `memory` says, the last first. Standing 0 is the start. With any memory no figure follows itself.

    start, end, length, figure: of each move, in order of start. run: its number in the net. back: whether the
    figure is remembered, so that dancing it is coming back to it. begins, finishes: of each standing, where
    its moves begin and end. place, ends, corner: of each standing, as in the net. last: the figure danced
    last, -1 for none (or without memory). by_run: (standing, id of a run of the net) -> the move.
    """

    def __init__(self, net: Net, memory: int) -> None:
        self.net = net
        self._number: dict[_Standing, int] = {(0, ()): 0}
        self._standings: list[_Standing] = list(self._number)
        numbers = {id(run): number for number, run in enumerate(net.runs)}
        rows = []
        done = 0
        while done < len(self._standings):
            place, danced = self._standings[done]
            for run in net.leaving[place]:
                if danced[:1] == (run.figure,):
                    continue
                others = tuple(figure for figure in danced if figure != run.figure)
                now = (run.figure, *others)[:memory]
                end = self._of((run.end, now))
                if net.every:
                    self._of((net.corner[run.end], now))
                rows.append((done, end, run.length, run.figure, numbers[id(run)], len(others) < len(danced)))
            done += 1
        self.by_run = {(row[0], id(net.runs[row[4]])): number for number, row in enumerate(rows)}
        table = np.array(rows, dtype=np.int64).reshape(-1, 6)
        self.start, self.end, self.length, self.figure, self.run, back = table.T.copy()
        self.back = back.astype(bool)
        self.size = len(self._standings)
        self.begins = np.searchsorted(self.start, np.arange(self.size))
        self.finishes = np.searchsorted(self.start, np.arange(self.size), side="right")
        self.place: Ints = np.array([place for place, _ in self._standings])
        self.last: Ints = np.array([danced[0] if danced else -1 for _, danced in self._standings])
        self.ends = np.array([net.ends[place] for place, _ in self._standings])
        corners = [self._number.get((net.corner[place], danced), 0) for place, danced in self._standings]
        self.corner: Ints = np.array(corners)
        self.longest = int(self.length.max(initial=0))

    def _of(self, standing: _Standing) -> int:
        if standing not in self._number:
            self._number[standing] = len(self._standings)
            self._standings.append(standing)
        return self._number[standing]
