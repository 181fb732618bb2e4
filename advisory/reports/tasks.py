"""The jobs of this app; each may be killed at any point and run twice at once."""

from celery import shared_task

from advisory.reports import actions


@shared_task
def finish_reports() -> int:
    """Reckon the reports that somebody waits for."""
    return actions.finish_waiting()


@shared_task
def write_weekly_letters() -> int:
    """Write the week's letter to everybody who wants one and has none."""
    return actions.write_weekly_letters()


@shared_task
def reports_at_night() -> int:
    """Make the half-year's reports that are due, finish what was left, prepare the large ones."""
    actions.make_half_yearly()
    finished = actions.finish_waiting()
    actions.prepare_reports()
    return finished
