"""Tokens: made by a command, shown once, kept as a digest, ended in time."""

from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone
from knox.models import AuthToken
from rest_framework.test import APIClient

pytestmark = pytest.mark.django_db


def make(*args: str) -> tuple[str, str]:
    out, err = StringIO(), StringIO()
    call_command("api_token", *args, stdout=out, stderr=err)
    return out.getvalue().strip(), err.getvalue()


def with_token(token: str) -> APIClient:
    client = APIClient()
    client.credentials(HTTP_AUTHORIZATION=f"Token {token}")
    return client


def test_a_token_reads(colleague):
    token, _ = make("carl")
    assert with_token(token).get("/api/v1/brands/").status_code == 200


def test_only_the_token_stands_on_standard_output_and_the_words_beside_it(colleague):
    token, words = make("carl")
    assert token.isalnum()
    assert "not shown again" in words
    assert token not in words


def test_the_token_is_not_in_the_database(colleague):
    token, _ = make("carl")
    row = AuthToken.objects.values().get()
    assert not any(token in str(value) for value in row.values())


def test_a_token_ends_when_it_was_said_to(colleague):
    token, _ = make("carl", "--expires-days", "1")
    row = AuthToken.objects.get()
    assert abs(row.expiry - timezone.now() - timedelta(days=1)) < timedelta(minutes=1)
    AuthToken.objects.update(expiry=timezone.now() - timedelta(seconds=1))
    assert with_token(token).get("/api/v1/brands/").status_code == 401


def test_a_token_without_a_stated_end_still_ends(colleague):
    make("carl")
    assert AuthToken.objects.get().expiry is not None


@pytest.mark.parametrize("days", ["1", "3650"])
def test_a_life_within_the_limits_is_taken(colleague, days):
    make("carl", "--expires-days", days)
    assert AuthToken.objects.count() == 1


@pytest.mark.parametrize("days", ["0", "-1", "3651"])
def test_a_life_outside_the_limits_is_refused_and_makes_none(colleague, days):
    with pytest.raises(CommandError, match="give 1 to 3650"):
        make("carl", "--expires-days", days)
    assert AuthToken.objects.count() == 0


def test_nobody_gets_a_token_for_an_account_that_is_not_there(db):
    with pytest.raises(CommandError, match="'nobody'"):
        make("nobody")


def test_a_closed_account_gets_no_token_and_its_old_one_ends(colleague):
    token, _ = make("carl")
    colleague.is_active = False
    colleague.save()
    assert with_token(token).get("/api/v1/brands/").status_code == 401
    with pytest.raises(CommandError, match="closed"):
        make("carl")


def test_all_tokens_of_one_person_can_be_ended_and_of_nobody_else(colleague, owner):
    token, _ = make("carl")
    other, _ = make("olga")
    make("carl", "--revoke-all")
    assert with_token(token).get("/api/v1/brands/").status_code == 401
    assert with_token(other).get("/api/v1/brands/").status_code == 200
