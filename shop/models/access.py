"""Who came in, who was kept out, what was done with the deepest rights; second factors."""

from django.conf import settings
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
        FACTOR_ON = "second factor turned on"
        FACTOR_OFF = "second factor turned off"
        CODES_MADE = "recovery codes made"
        CODE_USED = "recovery code used"

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


class SecondFactor(models.Model):
    """What a person's app and this program share, so that a code of theirs can be checked.

    It has to be kept as it is (RFC 6238), and so is in no copy of the books.
    """

    person = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="second_factor"
    )
    secret = models.CharField(max_length=64, help_text="Base32.")
    since = models.DateTimeField()
    last_step = models.BigIntegerField(
        help_text="The half minute since 1970 of the latest code taken: none counts twice."
    )

    def __str__(self) -> str:
        return f"second factor of {self.person}"


class RecoveryCode(models.Model):
    """A code that stands once for the app, if the phone is lost; kept as a digest."""

    factor = models.ForeignKey(
        SecondFactor, on_delete=models.CASCADE, related_name="recovery_codes"
    )
    digest = models.CharField(max_length=64, unique=True, help_text="SHA-256 of the code.")

    def __str__(self) -> str:
        return f"recovery code {self.pk}"
