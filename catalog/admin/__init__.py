"""Admin pages of the catalogue, by subject."""

from catalog.admin import (
    applications,
    engines,
    parts,
    replacements,
    service,
    specs,
    supply,
    test_points,
    words,
)

__all__ = [
    "applications",
    "engines",
    "parts",
    "replacements",
    "service",
    "specs",
    "supply",
    "test_points",
    "words",
]
