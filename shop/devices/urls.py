"""Addresses of devices: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from shop.devices import api
from shop.devices.pages import bench, devices, guide

urlpatterns: list[URLPattern | URLResolver] = [
    path("bench/", bench.bench, name="bench"),
    path("bench/pair/", bench.bench, name="bench_pair"),
    path("bench/p/<str:number>/", bench.bench, name="bench_piece"),
    path("bench/sw.js", bench.service_worker, name="bench_worker"),
    path("bench/manifest.webmanifest", bench.manifest, name="bench_manifest"),
    path("api/v1/guide/", guide.api_guide, name="api_guide"),
    path("workshop/devices/", devices.devices, name="devices"),
    path("workshop/devices/<str:token_key>/revoke/", devices.device_revoke, name="device_revoke"),
]

router = SimpleRouter()
router.register("devices", api.DeviceViewSet)

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("devices/pair/", api.PairView.as_view(), name="api_pair"),
    path("devices/code/", api.CodeView.as_view(), name="api_code"),
    path("devices/units/", api.UnitsView.as_view(), name="api_units"),
    path("devices/hello/", api.HelloView.as_view(), name="api_hello"),
    *router.urls,
]
