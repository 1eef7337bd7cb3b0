"""Answers kept for repeated requests, so that a thing asked twice is done once."""

from django.conf import settings
from django.db import models


class KeptAnswer(models.Model):
    """What a POST with an Idempotency-Key was answered, for the same key to get again."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE)
    key = models.CharField(max_length=200)
    fingerprint = models.CharField(max_length=64, help_text="SHA-256 of method, path and body.")
    status = models.PositiveSmallIntegerField(null=True)
    body = models.TextField(blank=True)
    headers = models.JSONField(default=dict)
    made_at = models.DateTimeField(db_index=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["user", "key"], name="one_answer_per_key"),
        ]

    def __str__(self) -> str:
        return self.key
