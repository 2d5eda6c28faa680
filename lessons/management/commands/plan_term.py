"""Plan a course's term from the command line and print the plan in plain words."""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import transaction

from lessons.actions.plans import start_draft
from lessons.actions.school_runs import plan_the_school
from lessons.models import Course, PlanStatus, TermPlan
from lessons.planners import term as planner
from lessons.planners.newcomers import plan_for_newcomers
from lessons.problems import CourseProblem, course_problem, spoken_day, write_placements
from lessons.problems.wording import spoken_list
from lessons.rules.quality import called, quality
from lessons.runs.jobs import planned_together
from lessons.runs.results import result_of
from lessons.runs.whole_school import school_run_page
from school import clock
from school.models import Term

POLL_SECONDS = 0.5


class Command(BaseCommand):
    help = (
        "Plan the term of a course (or of all) from its newest draft, its published plan or its syllabus. "
        "Prints the plan; writes nothing unless asked to save. Ends with 1 if a term is impossible."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("course", nargs="?", help="the course's key, e.g. WB1")
        parser.add_argument("--all", action="store_true", help="every course of the term")
        parser.add_argument(
            "--json",
            action="store_true",
            help="print JSON instead of sentences: an object for a course, a list for --all",
        )
        parser.add_argument("--seconds", type=float, default=10.0, help="the longest time for a course")
        parser.add_argument("--save", action="store_true", help="keep each plan as a new draft")
        parser.add_argument(
            "--by-workers",
            action="store_true",
            help="with --all: have the workers plan every course's draft side by side, and wait for them",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        with clock.school_time():
            courses = self._courses(options["course"], every=options["all"])
            if options["by_workers"]:
                self._wait_for_workers(courses, options["seconds"])
                return
            answers = [answer for tied in _tied(courses) for answer in self._plan(tied, options["seconds"])]
            if options["save"]:
                for problem, plan in answers:
                    keep(problem.plan.course, plan)
        if options["json"]:
            printed = [as_json(problem, plan) for problem, plan in answers]
            answer = printed if options["all"] else printed[0]
            self.stdout.write(json.dumps(answer, indent=2, ensure_ascii=False))
        else:
            self.stdout.write("\n\n".join("\n".join(in_words(problem, plan)) for problem, plan in answers))
        if any(plan.status == "impossible" for _, plan in answers):
            sys.exit(1)

    def _courses(self, key: str | None, *, every: bool) -> list[Course]:
        if every == bool(key):
            raise CommandError("Name one course by its key, or say --all.")
        if every:
            term = Term.objects.nearest(clock.today())
            return list(Course.objects.filter(term=term).order_by("key"))
        named = Course.objects.filter(key__iexact=key).select_related("term")
        in_term = named.filter(term=Term.objects.nearest(clock.today())).first()
        course = in_term or named.order_by("-term__first_day").first()
        if course is None:
            keys = spoken_list(sorted(set(Course.objects.values_list("key", flat=True))))
            raise CommandError(f"There is no course “{key}”. The courses are: {keys or 'none yet'}.")
        return [course]

    def _plan(self, tied: list[Course], seconds: float) -> list[tuple[CourseProblem, planner.TermPlan]]:
        """Read and plan, courses in step as one; writes nothing."""
        problems = {course.key: problem_of(course) for course in tied}
        try:
            plans = _plans(problems, seconds)
        except planner.ProblemError as fault:
            said = str(fault) if len(tied) > 1 else f"{tied[0].key}: {fault}"
            raise CommandError(said) from None
        return [(problems[key], plan) for key, plan in plans.items()]

    def _wait_for_workers(self, courses: list[Course], seconds: float) -> None:
        """Have the workers plan the term, and tell each course as soon as it is planned."""
        if not courses:
            raise CommandError("With --by-workers the whole term is planned: say --all.")
        try:
            school_run = plan_the_school(term=courses[0].term, by=None, seconds=round(seconds))
        except ValidationError as refused:
            raise CommandError(" ".join(refused.messages)) from None
        told: set[int] = set()
        while len(told) < school_run.runs.count():
            for line in school_run_page(school_run)["lines"]:
                if line.run.is_over and line.run.pk not in told:
                    told.add(line.run.pk)
                    worker = f" ({line.run.worker})" if line.run.worker else ""
                    self.stdout.write(f"{line.run.plan.course.key}: {line.says}{worker}")
                    self.stdout.flush()
            time.sleep(POLL_SECONDS)


def _tied(courses: list[Course]) -> list[list[Course]]:
    """Courses of one group on one dance together, every other by itself, in order."""
    groups: dict[tuple[int, int], list[Course]] = {}
    for course in courses:
        tie = (-1, course.pk) if course.group_id is None else (course.group_id, course.dance_id)
        groups.setdefault(tie, []).append(course)
    return list(groups.values())


def _plans(problems: Mapping[str, CourseProblem], seconds: float) -> dict[str, planner.TermPlan]:
    if len(problems) > 1:
        return planned_together(problems, seconds=seconds)
    ((key, problem),) = problems.items()
    return {key: plan_for_newcomers(problem.to_plan, problem.joining, seconds=seconds)}


@transaction.atomic
def keep(course: Course, plan: planner.TermPlan) -> None:
    """As a new draft. The search is over by now: inside a transaction it would keep others from writing."""
    if plan.introductions:
        draft = start_draft(course=course, by=None, source=newest_plan(course))
        write_placements(course_problem(draft), plan.introductions, plan.reviews)


def newest_plan(course: Course) -> TermPlan | None:
    """The director's newest draft, else the published plan."""
    drafts = course.plans.filter(status=PlanStatus.DRAFT).order_by("-created_at", "-pk")
    return drafts.first() or course.plans.filter(status=PlanStatus.PUBLISHED).first()


def problem_of(course: Course) -> CourseProblem:
    """The problem of the course's newest plan; of a draft that is not kept, where it has none."""
    plan = newest_plan(course)
    if plan is not None:
        return course_problem(plan)
    with transaction.atomic():
        problem = course_problem(start_draft(course=course, by=None))
        transaction.set_rollback(True)
    return problem


def as_json(problem: CourseProblem, plan: planner.TermPlan) -> dict[str, Any]:
    result = result_of(problem, plan)
    return {
        "course": problem.plan.course.key,
        **result,
        "quality": quality(plan.status, result["aims"]),
        "lessons": [lesson.date.isoformat() for lesson in problem.lessons],
    }


def in_words(problem: CourseProblem, plan: planner.TermPlan) -> list[str]:
    course = problem.plan.course
    lines = [f"{course.key}, {course.name}: {quality(plan.status, _aims(plan))}."]
    lines += [f"  {note}" for note in problem.notes]
    if plan.conflict:
        lines.append("  This can't all fit, because:")
        lines += [f"    {reason.sentence}" for reason in plan.conflict]
    if plan.introductions:
        lines += _lesson_lines(problem, plan)
    if plan.left_out:
        lines.append(f"  Left out: {spoken_list(plan.left_out)}.")
    lines += [f"  {called(name)}: {value} (at least {bound})" for name, value, bound in _aims(plan)]
    return lines


def _lesson_lines(problem: CourseProblem, plan: planner.TermPlan) -> list[str]:
    lines = []
    for index, lesson in enumerate(problem.lessons):
        new = [key for key, at in plan.introductions.items() if at == index]
        again = [review.key for review in plan.reviews if review.index == index]
        said = [f"new {spoken_list(new)}"] if new else []
        said += [f"again {spoken_list(again)}"] if again else []
        room = problem.problem.lessons[index].minutes
        minutes = "has been" if index < problem.first_to_come else f"{plan.minutes[index]} of {room} min"
        lines.append(
            f"  {index + 1:2}. {spoken_day(lesson.date)} ({minutes}): {'; '.join(said) or 'nothing new'}"
        )
    return lines


def _aims(plan: planner.TermPlan) -> list[tuple[str, int, int]]:
    return [(aim.name, aim.value, aim.bound) for aim in plan.aims]
