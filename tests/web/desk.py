"""How the job tests read a page and fill its forms in."""

import html
import re

from django.http import HttpResponse
from django.test import Client

from estimates.models import Job

CONNECTOR = {str(n): "0.95" for n in range(1, 9)}


def words(response: HttpResponse) -> str:
    """The text of a page as it is read, tags off and blanks joined."""
    text = re.sub(r"<(script|style|title)\b.*?</\1>", " ", response.content.decode(), flags=re.S)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).replace("\xa0", " ").split())


def value_of(response: HttpResponse, name: str) -> str:
    """What stands in the input of this name."""
    tag = re.search(rf'<input[^>]*\bname="{re.escape(name)}"[^>]*>', response.content.decode())
    assert tag, f"no input named {name}"
    found = re.search(r'\bvalue="([^"]*)"', tag.group())
    return html.unescape(found.group(1)) if found else ""


def version(job: Job) -> int:
    job.refresh_from_db()
    return job.version


def post(client: Client, job: Job, path: str, seen: int | None = None, **fields: object) -> HttpResponse:
    """A form of the job's page, sent with the version it was made from (the present one unless told)."""
    data = {"version": version(job) if seen is None else seen, **fields}
    return client.post(f"/jobs/{job.pk}/{path}/", data)


def read(
    client: Client, job: Job, test: str, values: dict[str, str], seen: int | None = None, **fields: object
) -> HttpResponse:
    """Readings at one test point: by position a figure, or "open"."""
    rows = {f"value-{place}": value for place, value in values.items()}
    given = {"test": test, "phase": "before", "meter": "bench", "zero": "0.10", **fields}
    return post(client, job, "readings", seen, **given, **rows)


def measure_dead_plug(client: Client, job: Job) -> None:
    """Eight plugs at the connector with the third open, then the third at the plug itself: open as well."""
    assert read(client, job, "at-connector", {**CONNECTOR, "3": "open"}).status_code == 302
    assert read(client, job, "at-plug", {"3": "open"}).status_code == 302


def advise_belt(client: Client, job: Job) -> None:
    found = {"component": "belt", "position": "engine", "standing": "advisory", "quantity": "1"}
    assert post(client, job, "findings", **found, reason="ribs frayed").status_code == 302
