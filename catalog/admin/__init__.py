"""Admin pages of the catalogue, by subject."""

from catalog.admin import applications, engines, parts, service, specs, supply, words

__all__ = ["applications", "engines", "parts", "service", "specs", "supply", "words"]
