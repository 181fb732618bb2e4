"""Jobs: all plans at night, because forecasts move; by the hour those whose day has come."""

from celery import shared_task

from advisory.common.jobs import start_soon
from advisory.plans.actions import open_run, refresh_whose_day_came, work_on
from advisory.plans.actions.bulletins import put_on_plans
from advisory.plans.models import PlanRun


@shared_task
def refresh_all_plans() -> int:
    """Reckon all plans anew, in parts that other workers take as well.

    It may be killed and begun again at any point, or run twice at once. Returned is how many plans
    had changed of those that this worker reckoned.
    """
    run = open_run()
    if run.parts.filter(done_at=None).count() > 1:
        start_soon("advisory.plans.tasks.help_refresh_plans")
    return work_on(run)


@shared_task
def help_refresh_plans() -> int:
    """Take parts of the run that is under way, beside the worker that began it."""
    run = PlanRun.objects.filter(under_way=True).first()
    return 0 if run is None else work_on(run)


@shared_task
def refresh_plans_by_the_hour() -> int:
    """Reckon the plans whose day has come where their owners are; return how many had changed."""
    return refresh_whose_day_came()


@shared_task
def put_bulletins_on_plans() -> int:
    """Reckon the plans of which a bulletin asks something new."""
    return put_on_plans()
