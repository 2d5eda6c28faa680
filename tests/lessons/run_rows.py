"""A planning run's row and its messages, for tests of what becomes of runs."""

from django_tasks_db.models import DBTaskResult

from lessons.models import PlanRun


def now_is(run, **fields):
    """The run's row as it stands, after setting `fields` behind everybody's back."""
    PlanRun.objects.filter(pk=run.pk).update(**fields)
    run.refresh_from_db()
    return run


def messages(run):
    """How many messages for the run were put into the queue and not pruned."""
    return sum(row.args_kwargs["args"] == [run.pk] for row in DBTaskResult.objects.all())
