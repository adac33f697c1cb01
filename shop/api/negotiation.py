"""Which form an answer comes in: the Accept header alone decides (RFC 9110, 12.5.1), with its weights.

For each form the range that names it most exactly counts: "application/json;q=0, */*" is anything but JSON.
Parameters of a form, like charset or indent, choose nothing here: every form comes in one spelling.
"""

from typing import Any

from django.http.request import MediaType
from rest_framework.exceptions import NotAcceptable
from rest_framework.negotiation import BaseContentNegotiation
from rest_framework.renderers import BaseRenderer
from rest_framework.request import Request


class ByAccept(BaseContentNegotiation):
    def select_parser(self, request: Request, parsers: Any) -> Any:
        """The first that takes the body's media type, None (415) for none of them."""
        sent = (request.content_type or "").partition(";")[0].strip().lower()
        return next((parser for parser in parsers if parser.media_type == sent), None)

    def select_renderer(
        self, request: Request, renderers: Any, format_suffix: str | None = None
    ) -> tuple[BaseRenderer, str]:
        """The form the client likes best; the view's first one where it likes several equally."""
        asked = request.headers.get("Accept", "").strip() or "*/*"
        ranges = [MediaType(token.lower()) for token in asked.split(",")]
        weights = {str(one.media_type): _weight(str(one.media_type), ranges) for one in renderers}
        best = max(weights.values())
        if not best:
            raise NotAcceptable(
                f"This address answers in {', '.join(weights)}.", available_renderers=renderers
            )
        wanted = next(form for form, weight in weights.items() if weight == best)
        return next(one for one in renderers if one.media_type == wanted), wanted


def _weight(form: str, ranges: list[MediaType]) -> float:
    main, _, sub = form.partition("/")
    for kind in ((main, sub), (main, "*"), ("*", "*")):
        found = [one.quality for one in ranges if (one.main_type, one.sub_type) == kind]
        if found:
            return float(max(found))
    return 0.0
