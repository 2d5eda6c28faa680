from lessons.models.addresses import CalendarAddress, WallAddress
from lessons.models.catch_ups import HOLDING, CatchUp, CatchUpState
from lessons.models.courses import (
    Course,
    CourseGroup,
    CourseInstructor,
    CourseKind,
    CourseLevel,
    Enrolment,
    Meeting,
    Milestone,
    TaughtBefore,
)
from lessons.models.covers import CoverLink
from lessons.models.floor import NotPaired, TeachingPair
from lessons.models.helpers import Helper, HelperCall
from lessons.models.kinds import LessonKind
from lessons.models.plans import (
    PlanBar,
    PlanFigure,
    PlanIntroduction,
    PlanReview,
    PlanSet,
    PlanStatus,
    TermPlan,
)
from lessons.models.private import PrivateFigure, PrivateLesson
from lessons.models.readiness import Requirement
from lessons.models.records import (
    Attendance,
    LessonRecord,
    Outcome,
    PlannedSheet,
    RecordedFigure,
    Wellness,
)
from lessons.models.runs import PlanRun, RunKind, RunStatus, SchoolRun, WorkerSign
from lessons.models.sendings import RecordSubmission, RecordVersion
from lessons.models.sessions import LessonInstructor, LessonSession
from lessons.models.shapes import LessonShape, SegmentKind, ShapeSegment
from lessons.models.sheets import SheetChange, SheetSegment
from lessons.models.steps import DraftStep
from lessons.models.students import Mark, OwnMark, OwnNote, SignOff, Standing, TaughtElsewhere
from lessons.models.teachers import Away, TeachesNot

__all__ = [
    "HOLDING",
    "Attendance",
    "Away",
    "CalendarAddress",
    "CatchUp",
    "CatchUpState",
    "Course",
    "CourseGroup",
    "CourseInstructor",
    "CourseKind",
    "CourseLevel",
    "CoverLink",
    "DraftStep",
    "Enrolment",
    "Helper",
    "HelperCall",
    "LessonInstructor",
    "LessonKind",
    "LessonRecord",
    "LessonSession",
    "LessonShape",
    "Mark",
    "Meeting",
    "Milestone",
    "NotPaired",
    "Outcome",
    "OwnMark",
    "OwnNote",
    "PlanBar",
    "PlanFigure",
    "PlanIntroduction",
    "PlanReview",
    "PlanRun",
    "PlanSet",
    "PlanStatus",
    "PlannedSheet",
    "PrivateFigure",
    "PrivateLesson",
    "RecordSubmission",
    "RecordVersion",
    "RecordedFigure",
    "Requirement",
    "RunKind",
    "RunStatus",
    "SchoolRun",
    "SegmentKind",
    "ShapeSegment",
    "SheetChange",
    "SheetSegment",
    "SignOff",
    "Standing",
    "TaughtBefore",
    "TaughtElsewhere",
    "TeachesNot",
    "TeachingPair",
    "TermPlan",
    "WallAddress",
    "Wellness",
    "WorkerSign",
]
