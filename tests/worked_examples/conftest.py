"""The same catalogue as the job tests use, imported once for each module and database."""

from tests.jobs.conftest import demo_catalogue

__all__ = ["demo_catalogue"]
