"""Who came in, who was kept out, and what was done with the deepest rights."""

from django.db import models


class AccessEntry(models.Model):
    """One line of the access log. Lines are added and never changed."""

    class Act(models.TextChoices):
        SIGNED_IN = "signed in"
        SIGNED_OUT = "signed out"
        FAILED = "sign-in failed"
        LOCKED = "locked for a while"
        CONFIRMED = "password entered again"
        NEW_PASSWORD = "new password"
        NEW_ROLE = "new role"
        ADDED = "person added"
        ENDED = "access ended"
        ADMITTED = "access given again"
        SESSIONS_ENDED = "sessions ended"
        DEVICE_ADDED = "device added"
        DEVICE_ENDED = "device revoked"
        EXPORTED = "everything downloaded"
        RESTORED = "backup restored"

    at = models.DateTimeField(db_index=True)
    act = models.CharField(max_length=30, choices=Act)
    # By name: the line stays true when a user name changes, and a failure may name nobody.
    person = models.CharField(max_length=150, blank=True, help_text="Whom it is about.")
    by = models.CharField(max_length=150, blank=True, help_text="Who did it, if another.")
    address = models.CharField(max_length=45, blank=True)
    detail = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.person}: {self.act}"
