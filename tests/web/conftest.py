"""The cast of the web tests: the owner who keeps the records, a colleague at the counter, a stranger."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client


@pytest.fixture(autouse=True)
def _somewhere_for_collected_files(settings: Any, tmp_path: Path) -> Iterator[None]:
    settings.STATIC_ROOT = tmp_path  # the file server warns about a folder that is not there
    return None


@pytest.fixture
def owner(db: None) -> Client:
    client = Client()
    client.force_login(User.objects.create_superuser("owner", password="only for this test"))
    return client


@pytest.fixture
def colleague(db: None) -> Client:
    client = Client()
    client.force_login(User.objects.create_user("colleague", password="only for this test"))
    return client


@pytest.fixture
def stranger(db: None) -> Client:
    return Client()
