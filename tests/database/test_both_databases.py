"""A test that is named after a database really runs on it, however it asks for one."""

import pytest
from django.db import connection


@pytest.mark.django_db
def test_a_marked_test_runs_on_the_database_of_its_name(request: pytest.FixtureRequest) -> None:
    assert connection.vendor in request.node.name


def test_a_test_that_asks_for_a_database_runs_on_the_one_of_its_name(
    db: None, request: pytest.FixtureRequest
) -> None:
    assert connection.vendor in request.node.name


@pytest.mark.django_db(transaction=True)
def test_a_test_with_transactions_of_its_own_runs_on_the_database_of_its_name(
    request: pytest.FixtureRequest,
) -> None:
    assert connection.vendor in request.node.name


class TestOfAClass:
    pytestmark = pytest.mark.django_db

    def test_a_test_in_a_marked_class_runs_on_the_database_of_its_name(
        self, request: pytest.FixtureRequest
    ) -> None:
        assert connection.vendor in request.node.name
