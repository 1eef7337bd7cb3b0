"""Addresses of the shop app's part of the API."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from shop.archive import api as everything
from shop.builds.api import builds
from shop.builds.api import pieces as proposals
from shop.builds.api.lost_days import LostDaysViewSet
from shop.builds.api.setting_up import ReadingViewSet
from shop.devices import api as devices
from shop.estimates.api import estimates
from shop.hours.api import clock
from shop.hours.api.time_entries import TimeEntryViewSet
from shop.past_sheets import api as old_hours
from shop.patterns.api import templates

router = SimpleRouter()
router.register("templates", templates.TemplateViewSet)
router.register("template-options", templates.TemplateOptionViewSet)
router.register("template-stages", templates.TemplateStageViewSet)
router.register("template-lines", templates.TemplateLineViewSet)
router.register("template-failures", templates.TemplateFailureViewSet)
router.register("builds", builds.BuildViewSet)
router.register("draws", builds.BuildDrawViewSet)
router.register("stages", builds.StageViewSet)
router.register("devices", devices.DeviceViewSet)
router.register("lost-days", LostDaysViewSet)
router.register("related-templates", estimates.RelatedTemplateViewSet)
router.register("readings", ReadingViewSet)
router.register("time-entries", TimeEntryViewSet)

urlpatterns: list[URLPattern | URLResolver] = [
    path("clock/", clock.ClockView.as_view(), name="api_clock"),
    path("clock/start/", clock.StartView.as_view(), name="api_clock_start"),
    path("clock/switch/", clock.SwitchView.as_view(), name="api_clock_switch"),
    path("clock/stop/", clock.StopView.as_view(), name="api_clock_stop"),
    path("clock/undo/", clock.UndoView.as_view(), name="api_clock_undo"),
    path("clock/interruptions/", clock.InterruptionView.as_view(), name="api_clock_interruption"),
    path("clock/settle/", clock.SettleView.as_view(), name="api_clock_settle"),
    path("devices/pair/", devices.PairView.as_view(), name="api_pair"),
    path("devices/units/", devices.UnitsView.as_view(), name="api_units"),
    path("devices/hello/", devices.HelloView.as_view(), name="api_hello"),
    path("templates/<int:pk>/estimate/", estimates.EstimateView.as_view(), name="api_estimate"),
    path("templates/<int:pk>/back-test/", estimates.BacktestView.as_view(), name="api_backtest"),
    path("templates/<int:pk>/learning/", estimates.LearningView.as_view(), name="api_learning"),
    path("templates/<int:pk>/old-hours/", old_hours.OldHoursView.as_view(), name="api_old_hours"),
    path("old-sheets/<int:pk>/take-back/", old_hours.TakeBackView.as_view(), name="api_take_back"),
    path("build-lines/<int:pk>/proposals/", proposals.BuildLineProposalsView.as_view()),
    path("template-lines/<int:pk>/proposals/", proposals.TemplateLineProposalsView.as_view()),
    path("builds/<int:pk>/set-aside/", estimates.SetAsideView.as_view(), name="api_set_aside"),
    path("everything/", everything.EverythingView.as_view(), name="api_everything"),
    path("hours/years/<int:year>/", estimates.HoursYearView.as_view(), name="api_year"),
    path(
        "estimate-settings/",
        estimates.EstimateSettingsView.as_view(),
        name="api_estimate_settings",
    ),
    *router.urls,
]
