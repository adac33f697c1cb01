"""The audit trail: what was decided, by whom, when. Rows are added, never changed (see shop.guards)."""

from django.conf import settings
from django.db import models


class Event(models.Model):
    at = models.DateTimeField(db_index=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    what = models.CharField(max_length=60, help_text="like estimate-issued")
    subject = models.CharField(max_length=120, help_text="natural key of what it is about")
    detail = models.JSONField(default=dict)

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["subject", "at"], name="event_subject")]

    def __str__(self) -> str:
        return f"{self.what} {self.subject}"
