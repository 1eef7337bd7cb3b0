"""The day's list by the queue, on the phone and without signal."""

from datetime import timedelta

import pytest
from django.utils import timezone

from shop.models import Build

pytestmark = pytest.mark.browser


def test_the_day_s_list_is_read_without_signal(new_phone, builds):
    late = builds["C"]
    today = timezone.localdate()
    Build.objects.filter(pk=late.pk).update(promised_on=today + timedelta(days=1))
    phone = new_phone()
    phone.settle()
    phone.cut()
    phone.go("#/today")
    assert phone.sees("Promised dates in danger")
    assert phone.sees(f"{late.serial}, ")
    assert phone.sees("Free to start")
    assert phone.sees(f"{builds['A'].serial} Bend ribs")
    phone.tap(f"^{builds['A'].serial} Bend ribs")
    assert phone.sees("Stages")
