"""The register of a course's plan, put together from rows with a constant number of queries."""

from lessons.board.build import board_of
from lessons.board.values import Board, Cell, Column, Gauge, Group, Mark, Row, Week

__all__ = ["Board", "Cell", "Column", "Gauge", "Group", "Mark", "Row", "Week", "board_of"]
