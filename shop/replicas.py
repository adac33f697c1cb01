"""Reads of the catalogue from a read replica, where REPLICA_URL names one.

Only what a page or an API answer of the catalogue reads goes there. Everything else stays with the primary:
jobs, estimates, people and sessions; the administration; every unsafe request; every command; whatever is
read within a transaction of the primary. A replica that does not answer is passed over for a while.

A replica is a moment behind. A person who has just saved something reads the primary for some seconds
(REPLICA_LAG), so that the page shows what was saved: a short-lived cookie says so. A client without cookies
asks for it by `Cache-Control: no-cache` (RFC 9111, section 5.2.1.4).
"""

import logging
from collections.abc import Callable
from contextvars import ContextVar
from time import monotonic
from typing import Any

from django.conf import settings
from django.core.exceptions import MiddlewareNotUsed
from django.db import DEFAULT_DB_ALIAS, OperationalError, connections
from django.db.models import Model
from django.http import HttpRequest, HttpResponse

PRIMARY = DEFAULT_DB_ALIAS
REPLICA = "replica"
APP = "catalog"
READ_FROM = ("catalog.views", "catalog.api")  # where the views live that may read from the replica
SAFE = frozenset(("GET", "HEAD", "OPTIONS"))  # RFC 9110, section 9.2.1
WROTE = "wrote"  # the cookie of somebody who has just saved something
PASSED_OVER = 30.0  # seconds until a replica that did not answer is asked again

logger = logging.getLogger(__name__)
_asked_again_at = 0.0


class _Choice:
    """Where this request reads the catalogue: decided by its first read, and then the same to its end."""

    __slots__ = ("alias",)

    def __init__(self) -> None:
        self.alias = ""


_choice: ContextVar[_Choice | None] = ContextVar("catalogue_reads", default=None)


def reading() -> str:
    """The alias of the database to read the catalogue from, here and now: for `connections` and `using`."""
    choice = _choice.get()
    if choice is None or connections[PRIMARY].in_atomic_block:
        return PRIMARY
    if not choice.alias:
        choice.alias = REPLICA if _answers() else PRIMARY
    return choice.alias


def _answers() -> bool:
    global _asked_again_at
    if monotonic() < _asked_again_at:
        return False
    replica = connections[REPLICA]
    try:
        replica.close_if_health_check_failed()
        replica.ensure_connection()
    except OperationalError as error:
        _asked_again_at = monotonic() + PASSED_OVER
        logger.warning("The replica does not answer (%s); the primary answers for it.", error)
        return False
    return True


class CatalogueRouter:
    """Sends reads of the catalogue where `reading` says, and everything else to the primary."""

    def db_for_read(self, model: type[Model], **hints: Any) -> str:
        if model._meta.app_label != APP:
            return PRIMARY
        owner = hints.get("instance")
        if owner is not None and owner._state.db == PRIMARY:
            # What a row of the primary names is read there too: the replica may not have it yet.
            return PRIMARY
        return reading()

    def db_for_write(self, model: type[Model], **hints: Any) -> str:
        return PRIMARY

    def allow_relation(self, one: Model, other: Model, **hints: Any) -> bool:
        return True  # both aliases hold the same rows

    def allow_migrate(self, db: str, app_label: str, **hints: Any) -> bool | None:
        return False if db == REPLICA else None


class CatalogueReads:
    """Decides for each request whether it may read the catalogue from the replica."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        if REPLICA not in settings.DATABASES:
            raise MiddlewareNotUsed
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        token = _choice.set(None)
        try:
            response = self.get_response(request)
            only_asked = request.method in SAFE or _choice.get() is not None
        finally:
            _choice.reset(token)
        if not only_asked:
            response.set_cookie(
                WROTE,
                "1",
                max_age=settings.REPLICA_LAG,
                secure=bool(settings.SESSION_COOKIE_SECURE),
                httponly=True,
                samesite="Lax",
            )
        return response

    def process_view(
        self, request: HttpRequest, view: Callable[..., Any], args: object, kwargs: object
    ) -> None:
        if _only_reads(request, view) and not _wants_the_newest(request):
            _choice.set(_Choice())


def _only_reads(request: HttpRequest, view: Callable[..., Any]) -> bool:
    """A safe request, or a view that says of itself that its POST only asks (`only_reads = True`)."""
    if not view.__module__.startswith(READ_FROM):
        return False
    made_of = getattr(view, "cls", None) or getattr(view, "view_class", None)
    return request.method in SAFE or bool(getattr(made_of, "only_reads", False))


def _wants_the_newest(request: HttpRequest) -> bool:
    return WROTE in request.COOKIES or "no-cache" in request.headers.get("Cache-Control", "")
