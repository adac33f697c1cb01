"""Every error of the API as problem details (RFC 9457), and none of them a stack trace.

A problem says in `errors` what a person would want to know: where it stands, what is wrong, what would be
right. Nothing was done with a request that is answered with a problem.
"""

import logging
from collections.abc import Iterable, Iterator, Mapping
from http import HTTPStatus
from typing import Any

from django.conf import settings
from django.core.exceptions import PermissionDenied, RequestDataTooBig, SuspiciousOperation
from django.http import Http404
from django.utils.encoding import escape_uri_path
from rest_framework import exceptions
from rest_framework.renderers import JSONRenderer
from rest_framework.response import Response
from rest_framework.views import set_rollback

from shop.rules.errors import Fault, Refused

logger = logging.getLogger("shop.api")

MEDIA_TYPE = "application/problem+json"
KIND_PATH = "/api/v1/problems/"

# Problems that say more than their status does. RFC 9457, 3.1.1: a type is a URI, a relative one with its
# full path, and what stands there explains it. Everything else is "about:blank": just its status (4.2.1).
KINDS: Mapping[str, tuple[str, str]] = {
    "not-understood": (
        "The request was not understood.",
        "Something in the address, in a header or in the form of the body cannot be read. The member errors "
        "lists each place, what is wrong there and what would be right. Nothing was done.",
    ),
    "refused": (
        "The request was understood and refused.",
        "The request is well formed, but what it asks for breaks a rule of the workshop or of the catalogue. "
        "The member errors lists each place, what is wrong there and what would be right. Nothing was done.",
    ),
}

SAFE = ("GET", "HEAD", "OPTIONS")

# RFC 9110, 15.5.14 and 15.5.21; older Pythons still carry the phrases of its forerunners.
PHRASES = {413: "Content Too Large", 422: "Unprocessable Content"}

RIGHT = {
    "required": "give a value",
    "null": "give a value, or leave the member out",
    "blank": "give a value that is not empty",
    "empty": "give at least one",
    "invalid_choice": "give one of the values listed in the API's document",
    "does_not_exist": "look up what there is in the list of its kind",
    "parse_error": "send a body that is valid JSON (RFC 8259)",
}


class ProblemRenderer(JSONRenderer):
    """Problems are JSON whatever the client asked for: the one form that every client of ours reads."""

    media_type = MEDIA_TYPE
    format = "problem"


class BadRequest(exceptions.APIException):
    """A request that cannot be answered as it was sent, with its faults: 400.

    Its kind is "not-understood" where it is not in the form that the API's document describes, and "refused"
    where it is, but asks for something that the data or another parameter rules out.
    """

    status_code = HTTPStatus.BAD_REQUEST

    def __init__(self, faults: Iterable[Fault], kind: str = "not-understood") -> None:
        self.faults = tuple(faults)
        self.kind = kind
        super().__init__("; ".join(str(fault) for fault in self.faults))

    @classmethod
    def single(cls, where: str, what: str, right: str) -> "BadRequest":
        return cls([Fault(where, what, right)])

    @classmethod
    def refused(cls, where: str, what: str, right: str) -> "BadRequest":
        return cls([Fault(where, what, right)], "refused")


def phrase(status: int) -> str:
    """The recommended words for a status."""
    return PHRASES.get(status) or HTTPStatus(status).phrase


def body_of(
    status: int, detail: str, *, instance: str, faults: Iterable[Fault] = (), kind: str | None = None
) -> dict[str, object]:
    """The members of one problem. `kind` is a key of KINDS, None for one that its status says all about."""
    body: dict[str, object] = {
        "type": f"{KIND_PATH}{kind}/" if kind else "about:blank",
        "title": KINDS[kind][0] if kind else phrase(status),
        "status": int(status),
        "detail": detail,
        "instance": escape_uri_path(instance),  # RFC 9457, 3.1.5: a URI reference, so nothing but ASCII
    }
    errors = [{"where": fault.where, "what": fault.what, "right": fault.right} for fault in faults]
    return body | ({"errors": errors} if errors else {})


def problem(
    status: int,
    detail: str,
    *,
    instance: str,
    faults: Iterable[Fault] = (),
    kind: str | None = None,
    headers: Mapping[str, str] | None = None,
    **more: object,
) -> Response:
    """One problem as an answer. `more` are further members, like the two versions of a conflict."""
    body = body_of(status, detail, instance=instance, faults=faults, kind=kind)
    response = Response(body | more, status=status, headers=dict(headers or {}), content_type=MEDIA_TYPE)
    response["Cache-Control"] = "no-store"
    return response


def problem_response(error: Exception, context: Mapping[str, Any]) -> Response | None:
    """What the framework calls for an exception in a view. None (in debugging only) lets it rise."""
    request = context["request"]
    answer = _answer(error, request.path, request.method in SAFE)
    if answer is None:
        if settings.DEBUG:
            return None
        # The log keeps the trace for the people of the workshop; the client gets none of it.
        logger.error("%s %s failed", request.method, request.path, exc_info=error)
        answer = problem(500, "Something went wrong on our side; it has been noted.", instance=request.path)
    set_rollback()
    request.accepted_renderer, request.accepted_media_type = ProblemRenderer(), MEDIA_TYPE
    return answer


def _answer(error: Exception, path: str, reading: bool) -> Response | None:
    match error:
        case Refused():
            # A request without a body can only be wrong in its address.
            status = 400 if reading else 422
            return problem(status, _summary(error.faults), instance=path, faults=error.faults, kind="refused")
        case BadRequest():
            return problem(400, _summary(error.faults), instance=path, faults=error.faults, kind=error.kind)
        case exceptions.ValidationError():
            faults = tuple(_faults(error.detail))
            return problem(400, _summary(faults), instance=path, faults=faults, kind="not-understood")
        case exceptions.ParseError():
            faults = (Fault("the body", str(error.detail), RIGHT["parse_error"]),)
            return problem(400, _summary(faults), instance=path, faults=faults, kind="not-understood")
        case RequestDataTooBig():
            limit = settings.DATA_UPLOAD_MAX_MEMORY_SIZE
            return problem(413, f"The body is larger than {limit} bytes; send it in parts.", instance=path)
        case SuspiciousOperation():
            return problem(400, "The request is not one that is answered here.", instance=path)
        case Http404():
            return problem(404, str(error) or "There is nothing at this address.", instance=path)
        case PermissionDenied():
            return problem(403, str(error) or "You may not do this.", instance=path)
        case exceptions.NotAuthenticated():
            detail = "Sign in, or send a token of this workshop as: Authorization: Token ..."
            return problem(error.status_code, detail, instance=path, headers=_headers(error))
        case exceptions.APIException():
            return problem(error.status_code, str(error.detail), instance=path, headers=_headers(error))
    return None


def _headers(error: exceptions.APIException) -> dict[str, str]:
    headers = {}
    if challenge := getattr(error, "auth_header", None):
        headers["WWW-Authenticate"] = challenge
    if wait := getattr(error, "wait", None):
        headers["Retry-After"] = str(int(wait))
    return headers


def _summary(faults: tuple[Fault, ...]) -> str:
    return str(faults[0]) if len(faults) == 1 else f"{len(faults)} things are wrong; see errors."


def _faults(detail: Any, where: str = "") -> Iterator[Fault]:
    """A tree of serializer errors, flattened: "lines[2].quantity"."""
    if isinstance(detail, Mapping):
        for name, inside in detail.items():
            if name == "non_field_errors":
                yield from _faults(inside, where)
            elif isinstance(name, int):
                yield from _faults(inside, f"{where}[{name}]")
            else:
                yield from _faults(inside, f"{where}.{name}".removeprefix("."))
    elif isinstance(detail, list | tuple):
        for index, inside in enumerate(detail):
            nested = isinstance(inside, Mapping | list | tuple)
            yield from _faults(inside, f"{where}[{index}]" if nested else where)
    else:
        right = RIGHT.get(getattr(detail, "code", ""), "see the API's document for what is taken here")
        yield Fault(where or "the body", str(detail).rstrip("."), right)
