"""Conditional requests (RFC 9110, 13.1): who already holds the current answer gets 304 and no body, and a
change is made only to what the client has seen."""

from functools import partial
from hashlib import sha256
from typing import Any

from django.http import HttpResponse, HttpResponseNotModified
from django.utils.cache import patch_vary_headers
from django.utils.http import parse_etags
from rest_framework.request import Request
from rest_framework.response import Response

# What an answer depends on besides its address: its form, and who asks.
VARIES = ("Accept", "Authorization", "Cookie")
# What RFC 9110, 15.4.5 wants sent along with a 304, as far as it was there for the 200.
KEPT = ("Cache-Control", "Content-Location", "ETag", "Expires", "Vary", "Allow")


class ConditionalGet:
    """For a view: every successful GET carries an ETag of the bytes it answers with."""

    def finalize_response(self, request: Request, response: Any, *args: Any, **kwargs: Any) -> Any:
        response = super().finalize_response(request, response, *args, **kwargs)  # type: ignore[misc]
        return conditionally(request, response)


def conditionally(request: Request, response: Any) -> Any:
    """The answer of a view, with what a cache needs to know; 304 where the client holds it already."""
    if request.method not in ("GET", "HEAD") or response.status_code not in (200, 304):
        return response
    # A signed-in person's answer: no shared cache keeps it, their own asks again each time.
    response.setdefault("Cache-Control", "private, no-cache")
    patch_vary_headers(response, VARIES)
    # Bytes that were kept as they are come with the tag they were kept with.
    if isinstance(response, Response) and not response.has_header("ETag"):
        response.add_post_render_callback(partial(_compare, request.headers.get("If-None-Match", "")))
    return response


def _compare(wanted: str, response: Response) -> HttpResponse | None:
    response["ETag"] = etag(response.content)
    if not matches_weakly(wanted, response["ETag"]):
        return None
    answer = HttpResponseNotModified(headers={name: response[name] for name in KEPT if name in response})
    answer.cookies = response.cookies
    return answer


def etag(content: bytes) -> str:
    """A strong validator: the same for the same bytes only."""
    return f'"{sha256(content).hexdigest()[:32]}"'


def matches_weakly(header: str, current: str) -> bool:
    """If-None-Match finds the current tag: "*" always, else any listed tag, W/ in front or not."""
    if header.strip() == "*":
        return True
    return current.removeprefix("W/") in {tag.removeprefix("W/") for tag in parse_etags(header)}


def matches_strongly(header: str, current: str) -> bool:
    """If-Match finds the current tag: "*" always, else the very same tag, and neither of them weak."""
    if header.strip() == "*":
        return True
    return not current.startswith("W/") and current in parse_etags(header)
