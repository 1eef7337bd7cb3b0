"""Addresses of estimates: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from shop.estimates.api import estimates as estimates_api
from shop.estimates.pages import estimates

urlpatterns: list[URLPattern | URLResolver] = [
    path("builds/<int:pk>/estimates/<str:act>/", estimates.build_set_aside, name="build_set_aside"),
    path("templates/<int:pk>/hours/", estimates.template_hours, name="template_hours"),
    path(
        "templates/<int:pk>/hours/paper/",
        estimates.template_hours_paper,
        name="template_hours_paper",
    ),
    path("templates/<int:pk>/hours/trust/", estimates.template_backtest, name="template_backtest"),
    path(
        "templates/<int:pk>/hours/learning/", estimates.template_learning, name="template_learning"
    ),
    path("templates/<int:pk>/hours/basis/", estimates.template_basis, name="template_basis"),
    path("templates/related/<int:pk>/remove/", estimates.related_remove, name="related_remove"),
    path("workshop/estimates/", estimates.estimate_settings, name="estimate_settings"),
]

router = SimpleRouter()
router.register("related-templates", estimates_api.RelatedTemplateViewSet)

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("templates/<int:pk>/estimate/", estimates_api.EstimateView.as_view(), name="api_estimate"),
    path(
        "templates/<int:pk>/back-test/", estimates_api.BacktestView.as_view(), name="api_backtest"
    ),
    path("templates/<int:pk>/learning/", estimates_api.LearningView.as_view(), name="api_learning"),
    path("builds/<int:pk>/set-aside/", estimates_api.SetAsideView.as_view(), name="api_set_aside"),
    path("hours/years/<int:year>/", estimates_api.HoursYearView.as_view(), name="api_year"),
    path(
        "estimate-settings/",
        estimates_api.EstimateSettingsView.as_view(),
        name="api_estimate_settings",
    ),
    *router.urls,
]
