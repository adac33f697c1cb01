"""Private links: an address with a secret of 256 bits, of which only the SHA-256 is kept.

A link lives as long as the estimate is valid and can be revoked. Whoever has it may read that one estimate
and decide on it, nothing else.
"""

from __future__ import annotations

import hashlib
import secrets
from datetime import datetime

from django.db import transaction

from estimates.actions import By, person
from estimates.decisions import check_open
from estimates.models import CustomerLink, IssuedEstimate
from shop.events import record

BYTES = 32


def digest_of(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


def make_link(estimate: IssuedEstimate, *, by: By, at: datetime) -> tuple[CustomerLink, str]:
    """A new link and its secret, which is shown once and then known to nobody here. Refused once the
    estimate is replaced or expired."""
    check_open(estimate, at)
    secret = secrets.token_urlsafe(BYTES)
    with transaction.atomic():
        link = CustomerLink.objects.create(
            estimate=estimate, digest=digest_of(secret), made_at=at, made_by_id=person(by)
        )
        subject = f"{estimate.number}/{estimate.revision}"
        record("link-made", subject, at=at, by=by, link=link.pk)
    return link, secret


def revoke_link(link: CustomerLink, *, by: By, at: datetime) -> None:
    """The link stops working at once. Revoking it twice changes nothing."""
    with transaction.atomic():
        if CustomerLink.objects.filter(pk=link.pk, revoked_at__isnull=True).update(revoked_at=at):
            subject = f"{link.estimate.number}/{link.estimate.revision}"
            record("link-revoked", subject, at=at, by=by, link=link.pk)
    link.refresh_from_db()


def link_of(secret: str) -> CustomerLink | None:
    """The link with this secret, with its estimate; None where there is none or it was revoked."""
    rows = CustomerLink.objects.select_related("estimate__job", "estimate__replaced_by")
    return rows.filter(digest=digest_of(secret), revoked_at__isnull=True).first()
