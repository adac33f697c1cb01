"""Idempotency-Key on creates: whoever sends the same request again gets the first answer again.

After the IETF's draft-ietf-httpapi-idempotency-key-header: the client makes the key up, it belongs to one
person, and the same key with another request is 422. Only what succeeded is kept, for a day: after a refusal
the key is free for the corrected request.
"""

import json
import re
from collections.abc import Callable
from datetime import timedelta
from hashlib import sha256

from django.db import transaction
from django.utils import timezone
from rest_framework import exceptions
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from shop.api.permissions import signed_in
from shop.api.problems import BadRequest
from shop.models import IdempotencyKey
from shop.rules.errors import Refused

HEADER = "Idempotency-Key"
LIFE = timedelta(hours=24)
LONGEST = 255
# Something visible, that does not begin with an empty pair of quotes.
PATTERN = r'^([!#-~][!-~]*|"([!#-~][!-~]*)?)$'
UNANSWERED = 0
LONGEST_WORK = timedelta(minutes=5)  # older than this, a process died over it
KEPT_HEADERS = ("Location", "Content-Location", "ETag")
Work = Callable[[], Response]


class BeingAnswered(exceptions.APIException):
    status_code = 409
    default_detail = f"A request with this {HEADER} is being answered; send it again in a moment."


def answered_once(request: Request, work: Work, *, slow: bool = False) -> Response:
    """The answer of `work`, or the one it gave before to this request under its key.

    Key and work stand or fall together in one transaction, in which a second request with the same key waits.
    `slow` work (a PDF) must not hold a transaction open: its key is claimed before, and a second request
    meanwhile gets 409. What does not succeed has to raise.
    """
    key = _key(request)
    if key is None:
        return work()
    digest = _digest(request)
    if slow:
        held, mine = _claim(request, key, digest)
        if not mine:
            return _again(held, digest)
        try:
            return _kept(held, work())
        except BaseException:
            held.delete()
            raise
    with transaction.atomic():
        held, mine = _claim(request, key, digest)
        return _kept(held, work()) if mine else _again(held, digest)


def _claim(request: Request, key: str, digest: str) -> tuple[IdempotencyKey, bool]:
    """The row of the key, and whether it was made now: then the work is ours to do."""
    now = timezone.now()
    old = IdempotencyKey.objects.filter(at__lt=now - LIFE)
    left_behind = IdempotencyKey.objects.filter(status=UNANSWERED, at__lt=now - LONGEST_WORK)
    (old | left_behind).delete()
    return IdempotencyKey.objects.get_or_create(
        user=signed_in(request),
        key=key,
        defaults={"request_sha256": digest, "status": UNANSWERED, "at": now},
    )


def _kept(held: IdempotencyKey, response: Response) -> Response:
    held.status = response.status_code
    held.headers = {name: response[name] for name in KEPT_HEADERS if name in response}
    held.answer = JSONRenderer().render(response.data).decode()
    held.save()
    return response


def _again(held: IdempotencyKey, digest: str) -> Response:
    if held.request_sha256 != digest:
        raise Refused.single(
            f"header {HEADER}",
            f"'{held.key}' was used for another request",
            "use a new key for a new request",
        )
    if held.status == UNANSWERED:
        raise BeingAnswered
    return Response(json.loads(held.answer), status=held.status, headers=held.headers)


def _key(request: Request) -> str | None:
    """The key with or without the quotes of a structured field (RFC 8941, 3.3.3); None where none is sent."""
    sent = request.headers.get(HEADER)
    if sent is None:
        return None
    key = sent.strip()
    if len(key) > LONGEST or not re.fullmatch(PATTERN, key):
        raise BadRequest.single(
            f"header {HEADER}",
            "it is not a key",
            f"give 1 to {LONGEST} visible ASCII characters without spaces, like a UUID",
        )
    quoted = len(key) >= 2 and key[0] == key[-1] == '"'
    return key[1:-1] if quoted else key


def _digest(request: Request) -> str:
    head = f"{request.method} {request.path}\n".encode()
    return sha256(head + request.body).hexdigest()
