"""Idempotency-Key on creates: whoever sends the same request again gets the first answer again.

After the IETF's draft-ietf-httpapi-idempotency-key-header: the client makes the key up, it belongs to one
person, and the same key with another request is 422. Only what succeeded is kept, for a day: after a refusal
the key is free for the corrected request.
"""

import json
from collections.abc import Callable
from datetime import timedelta
from hashlib import sha256

from django.db import IntegrityError, transaction
from django.utils import timezone
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
KEPT_HEADERS = ("Location", "Content-Location", "ETag")
Work = Callable[[], Response]


def answered_once(request: Request, work: Work, *, slow: bool = False) -> Response:
    """The answer of `work`, or the one it gave before to this request under its key.

    Key and work stand or fall together in one transaction, in which a second request with the same key waits.
    `slow` work (a PDF) must not hold a transaction open: it is done first, and has to see for itself that it
    is not done twice at once. What does not succeed has to raise.
    """
    key = _key(request)
    if key is None:
        return work()
    digest = _digest(request)
    if slow:
        if held := _held(request, key):
            return _again(held, digest)
        response = work()
        with transaction.atomic():
            IdempotencyKey.objects.get_or_create(
                user=signed_in(request), key=key, defaults=_row(response, digest)
            )
        return response
    with transaction.atomic():
        held = _held(request, key)
        if held is None:
            try:
                with transaction.atomic():
                    held = IdempotencyKey.objects.create(
                        user=signed_in(request), key=key, request_sha256=digest, status=0, at=timezone.now()
                    )
            except IntegrityError:  # the same request came twice at once, and the other one is done by now
                return _again(IdempotencyKey.objects.get(user=signed_in(request), key=key), digest)
            response = work()
            IdempotencyKey.objects.filter(pk=held.pk).update(**_row(response, digest))
            return response
    return _again(held, digest)


def _key(request: Request) -> str | None:
    """The key with or without the quotes of a structured field (RFC 8941, 3.3.3); None where none is sent."""
    sent = request.headers.get(HEADER)
    if sent is None:
        return None
    key = sent.strip()
    if len(key) >= 2 and key[0] == key[-1] == '"':
        key = key[1:-1]
    if not 1 <= len(key) <= LONGEST or not all(" " < character < "\x7f" for character in key):
        raise BadRequest.single(
            f"header {HEADER}",
            "it is not a key",
            f"give 1 to {LONGEST} visible ASCII characters without spaces, like a UUID",
        )
    return key


def _digest(request: Request) -> str:
    head = f"{request.method} {request.path}\n".encode()
    return sha256(head + request.body).hexdigest()


def _held(request: Request, key: str) -> IdempotencyKey | None:
    IdempotencyKey.objects.filter(at__lt=timezone.now() - LIFE).delete()
    return IdempotencyKey.objects.filter(user=signed_in(request), key=key).first()


def _row(response: Response, digest: str) -> dict[str, object]:
    return {
        "request_sha256": digest,
        "status": response.status_code,
        "headers": {name: response[name] for name in KEPT_HEADERS if name in response},
        "answer": JSONRenderer().render(response.data).decode(),
        "at": timezone.now(),
    }


def _again(held: IdempotencyKey, digest: str) -> Response:
    if held.request_sha256 != digest:
        raise Refused.single(
            f"header {HEADER}",
            f"'{held.key}' was used for another request",
            "use a new key for a new request",
        )
    return Response(json.loads(held.answer), status=held.status, headers=held.headers)
