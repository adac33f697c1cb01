"""Creates that were answered, so that a client whose line broke can ask again without making two."""

from django.conf import settings
from django.db import models


class IdempotencyKey(models.Model):
    """One create of one person, and its answer. The rows live for a day (see shop.api.idempotency)."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    key = models.CharField(max_length=255)
    request_sha256 = models.CharField(max_length=64, help_text="of method, address and body")
    status = models.PositiveSmallIntegerField(help_text="0: being answered now")
    headers = models.JSONField(default=dict)
    answer = models.TextField(help_text="JSON")
    at = models.DateTimeField(db_index=True)

    class Meta:
        ordering = ["-at"]
        constraints = [models.UniqueConstraint(fields=["user", "key"], name="idempotency_key_once")]

    def __str__(self) -> str:
        return self.key
