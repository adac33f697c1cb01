"""A closed job takes no more changes: what was stated to the customer stays what the records say."""

from estimates.models import Closing, Job
from shop.rules.errors import Refused


class JobClosed(Refused):
    """The job has its closing statement."""


def refuse_closed(job: Job) -> None:
    """JobClosed where the job has its closing statement. One statement."""
    if Closing.objects.filter(job=job.pk).exists():
        raise JobClosed.single(
            f"job {job.number}",
            "is closed, and its closing statement stands",
            "open a new job for what is to be done now",
        )
