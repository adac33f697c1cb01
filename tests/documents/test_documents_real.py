"""The demonstration's own jobs on paper: what the builder says is what is printed."""

import json
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from sample import amounts, estimate

from catalog.actions import import_pack
from estimates.builder import build
from estimates.documents.content import content
from estimates.documents.pdf import render_pdf
from estimates.jobfile import read_job_file
from shop.actions import set_up_workshop

FIXTURES = Path(settings.BASE_DIR) / "fixtures"
DAY = datetime(2026, 3, 2, tzinfo=UTC).date()

pytestmark = [pytest.mark.django_db, pytest.mark.databases("sqlite")]


@pytest.fixture
def documents(db: None) -> list[dict[str, Any]]:
    """Of every job file that ships with the project."""
    import_pack(FIXTURES / "demo")
    set_up_workshop(FIXTURES / "workshop.json")
    found = []
    for number, file in enumerate(sorted((FIXTURES / "jobs").glob("*.json")), 1):
        job, book = read_job_file(file, DAY)
        found.append(content(build(job, DAY, book=book), number=f"E-{number}", revision=1, issued_on=DAY))
    return found


def shape(value: Any) -> Any:
    """The keys of a document, however many entries its lists have."""
    if isinstance(value, dict):
        return {key: shape(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [shape(value[0])] if value else []
    return type(value).__name__


def agree(one: Any, other: Any) -> bool:
    """Same keys at every level; an empty list or a missing value agrees with anything."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(agree(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return not one or not other or agree(one[0], other[0])
    return one == other or "NoneType" in (one, other)


def test_real_documents_print_completely(
    documents: list[dict[str, Any]], text_of: Callable[[bytes], list[str]]
):
    assert documents
    for document in documents:
        pages = text_of(render_pdf(document, sha256="0" * 64))
        text = " ".join(" ".join(pages).split())
        numbers = {word.replace(",", "") for word in text.replace("(", " ").split()}
        numbers |= {word.rstrip(".:;") for word in numbers}
        assert set(amounts(document)) - numbers == set()
        assert all("Demonstration data, not for real work" in page for page in pages)
        titles = [one["title"] for items in document["groups"].values() for one in items]
        assert all(title[:1].upper() + title[1:] in text for title in titles)


def test_the_sample_has_the_shape_of_a_real_document(documents: list[dict[str, Any]]):
    sample = shape(json.loads(json.dumps(estimate())))
    for document in documents:
        real = shape(json.loads(json.dumps(document)))
        assert real.keys() == sample.keys()
        assert [key for key in real if not agree(real[key], sample[key])] == []
