"""A second factor at sign-in: codes of an app (RFC 6238), and recovery codes for a lost phone."""

import secrets
from datetime import datetime

from django.conf import settings
from django.contrib.auth.models import User
from django.db import transaction

from inventory.base.refusals import Refusal
from shop.access.bookkeeping import ONE_LOCK, WRONG_CODE, Act, log_access
from shop.access.calc import step_of_code
from shop.base.calc import ALPHABET, digest
from shop.models import AccessEntry, RecoveryCode, SecondFactor

RECOVERY_CODES = 10
LENGTH = 16
"""Of a recovery code: 79 bits, so that its digest tells nothing."""

DIGITS = 6


class WrongCode(Refusal):
    """A code that is wrong, too old, or was used before."""

    def __init__(self) -> None:
        super().__init__(
            "This code is wrong, too old or already used. Wait for the next code in the app.",
            field="code",
        )


class TooManyWrongCodes(Refusal):
    """No code is looked at for a while, so that nobody finds one by trying many."""

    def __init__(self) -> None:
        minutes = int(ONE_LOCK.total_seconds() // 60)
        super().__init__(
            f"Too many wrong codes. Wait {minutes} minutes, then enter a new one.", field="code"
        )


@transaction.atomic
def turn_on_second_factor(*, person: User, secret: str, code: str, now: datetime) -> list[str]:
    """Ask `person` for a code from now on; return the recovery codes, which are shown once.

    The code shows that the app has the secret. Raises WrongCode, and Refusal where it is on.
    """
    step = step_of_code(secret, _plain(code), now.timestamp())
    if step is None:
        raise WrongCode
    factor, is_new = SecondFactor.objects.get_or_create(
        person=person, defaults={"secret": secret, "since": now, "last_step": step}
    )
    if not is_new:
        raise Refusal("The second factor is on already.", field="code")
    log_access(act=Act.FACTOR_ON, person=person.get_username(), now=now)
    return _new_codes(factor)


@transaction.atomic
def turn_off_second_factor(*, person: User, now: datetime, by: str = "") -> None:
    """Ask `person` for the password only. Raises Refusal where it is so already."""
    if not SecondFactor.objects.filter(person=person).delete()[0]:
        raise Refusal(f"{person.get_username()} has no second factor.")
    log_access(act=Act.FACTOR_OFF, person=person.get_username(), by=by, now=now)


@transaction.atomic
def renew_recovery_codes(*, person: User, now: datetime) -> list[str]:
    """Return new recovery codes, which are shown once; the earlier ones are void.

    Raises Refusal without a second factor.
    """
    factor = SecondFactor.objects.select_for_update().filter(person=person).first()
    if factor is None:
        raise Refusal("Turn the second factor on first.")
    factor.recovery_codes.all().delete()
    log_access(act=Act.CODES_MADE, person=person.get_username(), now=now)
    return _new_codes(factor)


@transaction.atomic
def take_code(*, person: User, code: str, now: datetime) -> None:
    """Take a code of the app or a recovery code, each of which counts once.

    Raises WrongCode, which the caller has logged; after many of them TooManyWrongCodes.
    """
    # Whatever the addresses. Only who has the password can log one: strangers keep nobody out.
    wrong = AccessEntry.objects.filter(
        act=Act.FAILED, person=person.get_username(), detail=WRONG_CODE, at__gt=now - ONE_LOCK
    )
    if wrong.count() >= settings.AXES_FAILURE_LIMIT:
        raise TooManyWrongCodes
    factor = SecondFactor.objects.filter(person=person).first()
    if factor is None:
        raise WrongCode
    plain = _plain(code)
    if len(plain) == DIGITS:
        step = step_of_code(factor.secret, plain, now.timestamp())
        # Of two who send the same code at once, one finds the step not yet taken.
        untaken = SecondFactor.objects.filter(pk=factor.pk, last_step__lt=step or 0)
        if step is None or not untaken.update(last_step=step):
            raise WrongCode
    elif RecoveryCode.objects.filter(factor=factor, digest=digest(plain)).delete()[0]:
        left = factor.recovery_codes.count()
        log_access(act=Act.CODE_USED, person=person.get_username(), now=now, detail=f"{left} left")
    else:
        raise WrongCode


def _new_codes(factor: SecondFactor) -> list[str]:
    codes = [
        "".join(secrets.choice(ALPHABET) for _ in range(LENGTH)) for _ in range(RECOVERY_CODES)
    ]
    RecoveryCode.objects.bulk_create(
        RecoveryCode(factor=factor, digest=digest(code)) for code in codes
    )
    return codes


def _plain(typed: str) -> str:
    return "".join(letter for letter in typed if letter.isalnum())
