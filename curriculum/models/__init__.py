from curriculum.models.charts import ChartStep, FloorRole, Foot, StepChart
from curriculum.models.dances import Dance, FloorUse, Hold, HoldChange, Level, Rhythm, RhythmCount
from curriculum.models.figures import (
    Caution,
    Fault,
    Figure,
    FigureKind,
    FigureName,
    Prerequisite,
    name_key,
)
from curriculum.models.history import FigureVersion
from curriculum.models.music import Piece
from curriculum.models.passages import Passage
from curriculum.models.routines import Routine, RoutineItem, RoutineVersion

__all__ = [
    "Caution",
    "ChartStep",
    "Dance",
    "Fault",
    "Figure",
    "FigureKind",
    "FigureName",
    "FigureVersion",
    "FloorRole",
    "FloorUse",
    "Foot",
    "Hold",
    "HoldChange",
    "Level",
    "Passage",
    "Piece",
    "Prerequisite",
    "Rhythm",
    "RhythmCount",
    "Routine",
    "RoutineItem",
    "RoutineVersion",
    "StepChart",
    "name_key",
]
