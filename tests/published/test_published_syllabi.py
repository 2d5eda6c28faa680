"""Two published syllabi become a school's own: brought in through the page, and a term planned from them.

Waltz: grades, figures, holds at start and end, and counts from the list of allowed figures of the Finnish
DanceSport federation (STUL); N there is closed, P promenade. Beats are the counts added up.

Cha-cha: grades and figures from the International Latin syllabus of the ISTD, 1998-2000. It gives neither
lengths nor holds: those are our own estimate, common practice, no source.

In both, minutes, prerequisites, other names and notes are our own estimate: common practice, no source. The
order within a grade is the one we would teach in. A figure's grade differs from syllabus to syllabus.
"""

import csv
import datetime as dt
import itertools
from pathlib import Path

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from curriculum.models import Dance, Figure, Level
from lessons.actions.plans import start_draft
from lessons.planners.term import check_plan, plan_term
from lessons.problems import course_problem
from tests.factories import CourseFactory, weekly_lessons

HERE = Path(__file__).parent
TO_TRY = Path(settings.BASE_DIR) / "curriculum" / "examples"
BEFORE_TERM = dt.date(2026, 1, 5)

# grade -> figure: (holds at start and end, counts). Source: STUL, list of allowed figures, waltz.
WALTZ = {
    "Basic": {
        "natural turn": ("N", "123 123"),
        "reverse turn": ("N", "123 123"),
        "closed changes": ("N", "123"),
        "outside change": ("N or N-P", "123"),
        "whisk": ("N-P", "123"),
        "chasse from promenade": ("P-N", "12&3"),
    },
    "E": {
        "natural spin turn": ("N", "123 123"),
        "telemark": ("N", "123"),
        "open telemark": ("N-P", "123"),
        "cross hesitation": ("P-N", "123"),
        "impetus": ("N", "123"),
        "open impetus": ("N-P", "123"),
        "drag hesitation": ("N", "123"),
        "hesitation change": ("N", "(123) 123"),
        "progressive chasse to right": ("N", "12&3"),
        "back lock": ("N", "12&3"),
        "basic weave": ("N or N-P", "123 123"),
        "weave from promenade": ("P-N or P-N-P", "(123) 123"),
        "back whisk": ("N-P", "123"),
    },
    "D": {
        "turning lock to left": ("N or N-P", "1&23"),
        "outside spin": ("N", "123"),
        "turning lock to right": ("N-P", "123"),
        "wing": ("P-N", "123"),
        "closed wing": ("N", "123"),
        "double reverse spin": ("N", "12&3 or 123&"),
        "reverse pivot": ("N", "&"),
        "reverse corte": ("N", "123"),
    },
}

# grade -> figures. Source: ISTD, International Latin syllabus 1998-2000, cha-cha.
CHA_CHA = {
    "pre-bronze": {
        "basic movements",
        "New York",
        "spot turns",
        "shoulder to shoulder",
        "hand to hand",
        "three cha chas",
        "side steps",
        "there and back",
        "time steps",
    },
    "bronze": {"fan", "alemana", "hockey stick", "natural top", "natural opening out", "closed hip twist"},
    "silver": {
        "open hip twist",
        "reverse top",
        "opening out from reverse top",
        "aida",
        "spiral turns",
        "cross basic",
        "Cuban breaks",
        "chase",
    },
    "gold": {
        "advanced hip twist",
        "hip twist spiral",
        "Turkish towel",
        "sweetheart",
        "follow my leader",
        "foot changes",
    },
}

HOLDS = {"N": "closed", "P": "promenade"}
WALTZ_DANCE = {"name": "waltz", "beats_per_bar": 3, "beat_unit": 4, "floor_use": "travels"}
CHA_CHA_DANCE = {"name": "cha-cha", "beats_per_bar": 4, "beat_unit": 4, "floor_use": "spot"}


def rows_of(name):
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def beats_of(counts):
    """Beats of a row of counts: a beat each; an "&" takes its time from the beat before it.

    Alone it is half a beat, danced on the last half of a beat that began with another figure.
    """
    plain = counts.split(" or ")[0]
    digits = sum(letter.isdigit() for letter in plain)
    return str(digits) if digits else "0.5"


def ways_of(holds):
    """The holds at start and end of each way: N is closed all along, N-P ends in promenade."""
    ways = [way.split("-") for way in holds.split(" or ")]
    return "; ".join(HOLDS[way[0]] for way in ways), "; ".join(HOLDS[way[-1]] for way in ways)


def bring_in(client, dance, name):
    """Make the dance and bring the file in, as a director does it on the pages."""
    client.post(reverse("curriculum:dance-new"), {**dance, "levels": ""})
    made = Dance.objects.get(name=dance["name"])
    file = SimpleUploadedFile(name, (HERE / name).read_bytes())
    page = client.post(reverse("curriculum:spreadsheet-in", args=[made.pk]), {"file": file})
    assert page.context["changes"].errors == ()
    address = reverse("curriculum:spreadsheet-confirm", args=[made.pk])
    assert client.post(address, {"carried": page.context["carried"]}).status_code == 302
    return made


def plan_a_term(level):
    """Eleven lessons of an hour for a course on `level`; gives the problem and its plan."""
    course = CourseFactory(level=level)
    weekly_lessons(course, 11, minutes=60)
    problem = course_problem(start_draft(course=course, by=None), today=BEFORE_TERM).problem
    return problem, plan_term(problem, seconds=60)


class TestTheFilesSayWhatWasPublished:
    def test_waltz_grades_figures_holds_and_counts(self):
        found = {
            (row["level"], row["figure"]): (row["beats"], row["hold at start"], row["hold at end"])
            for row in rows_of("syllabus_waltz.csv")
        }
        published = {
            (grade, figure): (beats_of(counts), *ways_of(holds))
            for grade, figures in WALTZ.items()
            for figure, (holds, counts) in figures.items()
        }
        # The same hold at the start of both ways may be written once; here it is written for each.
        assert found == published

    def test_cha_cha_grades_and_figures(self):
        found = {grade: set() for grade in CHA_CHA}
        for row in rows_of("syllabus_chacha.csv"):
            found[row["level"]].add(row["figure"])
        assert found == CHA_CHA

    @pytest.mark.parametrize("name", ["syllabus_waltz.csv", "syllabus_chacha.csv"])
    def test_the_files_to_try_are_the_files_tested(self, name):
        assert (TO_TRY / name).read_bytes() == (HERE / name).read_bytes()


@pytest.mark.django_db
class TestBroughtIn:
    @pytest.mark.parametrize(
        ("dance", "name", "grades"),
        [
            (WALTZ_DANCE, "syllabus_waltz.csv", [("Basic", 6), ("E", 13), ("D", 8)]),
            (
                CHA_CHA_DANCE,
                "syllabus_chacha.csv",
                [("pre-bronze", 9), ("bronze", 6), ("silver", 8), ("gold", 6)],
            ),
        ],
    )
    def test_the_grades_become_levels_from_the_lowest_up(self, as_director, dance, name, grades):
        made = bring_in(as_director, dance, name)
        levels = Level.objects.filter(dance=made).order_by("rank")
        assert [(level.name, level.figures.count()) for level in levels] == grades

    def test_the_waltz_figures_stand_in_their_holds(self, as_director):
        bring_in(as_director, WALTZ_DANCE, "syllabus_waltz.csv")
        weave = Figure.objects.get(name="weave from promenade")
        ways = [(way.entry_hold.name, way.exit_hold.name) for way in weave.passages.all()]
        assert ways == [("promenade", "closed"), ("promenade", "promenade")]
        assert Figure.objects.get(name="reverse pivot").ticks == 6

    @pytest.mark.parametrize(
        ("dance", "name"), [(WALTZ_DANCE, "syllabus_waltz.csv"), (CHA_CHA_DANCE, "syllabus_chacha.csv")]
    )
    def test_taken_out_and_brought_in_again_nothing_changes(self, as_director, dance, name):
        made = bring_in(as_director, dance, name)
        for kind in ("csv", "xlsx"):
            data = as_director.get(reverse("curriculum:spreadsheet-out", args=[made.pk, kind])).content
            file = SimpleUploadedFile(f"again.{kind}", data)
            page = as_director.post(reverse("curriculum:spreadsheet-in", args=[made.pk]), {"file": file})
            assert page.context["changes"].nothing


@pytest.mark.django_db
class TestATermFromIt:
    @pytest.mark.parametrize(
        ("dance", "name", "figures"),
        [(WALTZ_DANCE, "syllabus_waltz.csv", 6), (CHA_CHA_DANCE, "syllabus_chacha.csv", 9)],
    )
    def test_the_lowest_grade_fits_a_term_and_the_plan_is_the_best_possible(
        self, as_director, dance, name, figures
    ):
        level = Level.objects.get(dance=bring_in(as_director, dance, name), rank=1)
        problem, plan = plan_a_term(level)
        assert plan.status == "optimal"
        assert len(plan.introductions) == figures
        assert plan.left_out == ()
        assert check_plan(problem, plan.introductions, plan.reviews) == ()

    def test_prerequisites_come_in_earlier_lessons(self, as_director):
        level = Level.objects.get(dance=bring_in(as_director, WALTZ_DANCE, "syllabus_waltz.csv"), rank=1)
        _, plan = plan_a_term(level)
        chain = ["closed changes", "natural turn", "reverse turn", "whisk", "chasse from promenade"]
        lessons = [plan.introductions[name] for name in chain]
        assert all(earlier < later for earlier, later in itertools.pairwise(lessons))
