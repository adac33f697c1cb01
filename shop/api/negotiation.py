"""Which form an answer comes in: the Accept header alone decides (RFC 9110, 12.5.1), with its weights."""

from typing import Any

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
        forms = {str(renderer.media_type): renderer for renderer in renderers}
        if not request.headers.get("Accept", "").strip():
            return renderers[0], str(renderers[0].media_type)
        wanted = request._request.get_preferred_type(list(forms))
        if wanted is None:
            raise NotAcceptable(f"This address answers in {', '.join(forms)}.", available_renderers=renderers)
        return forms[wanted], wanted
