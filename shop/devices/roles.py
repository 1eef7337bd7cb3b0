"""What a token may do at the API, beside the role of its owner."""

from typing import Any

from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from shop.devices.calc import is_bench_work
from shop.models import Device

API_ROOT = "/api/v1/"


class DeviceRights(BasePermission):
    """A token with the rights of the bench opens what the bench needs, whoever its owner is.

    A token that no device stands for has no more than that either.
    """

    message = "This device may only do the work of the bench. Sign in on the computer for this."

    def has_permission(self, request: Request, view: Any) -> bool:
        if request.auth is None:
            return True
        device = Device.objects.filter(token=request.auth).first()
        if device is not None and device.rights == Device.Rights.ALL:
            return True
        return is_bench_work(request.method or "", request.path.removeprefix(API_ROOT))
