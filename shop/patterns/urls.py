"""Addresses of patterns: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from shop.patterns.api import templates as templates_api
from shop.patterns.pages import failures, stocking, templates

urlpatterns: list[URLPattern | URLResolver] = [
    path("templates/", templates.templates, name="templates"),
    path("templates/new/", templates.template_new, name="template_new"),
    path("templates/<int:pk>/", templates.template, name="template"),
    path("templates/<int:pk>/change/", templates.template_edit, name="template_edit"),
    path("templates/<int:pk>/copy/", templates.template_copy, name="template_copy"),
    path("templates/<int:pk>/own/", stocking.template_own, name="template_own"),
    path("templates/<int:pk>/stock/", stocking.template_stock, name="template_stock"),
    path(
        "templates/<int:pk>/unstock/<str:lines>/<str:made>/",
        stocking.template_unstock,
        name="template_unstock",
    ),
    path("templates/<int:pk>/stages/", templates.template_stages, name="template_stages"),
    path(
        "templates/<int:pk>/specification/",
        templates.template_specification,
        name="template_specification",
    ),
    path("templates/<int:pk>/options/", templates.template_options, name="template_options"),
    path(
        "templates/<int:pk>/failures/new/",
        failures.template_failure_new,
        name="template_failure_new",
    ),
    path("templates/failures/<int:pk>/", failures.template_failure, name="template_failure"),
    path(
        "templates/failures/<int:pk>/remove/",
        failures.template_failure_remove,
        name="template_failure_remove",
    ),
    path("templates/<int:pk>/lines/new/", templates.template_line_new, name="template_line_new"),
    path("templates/lines/<int:pk>/", templates.template_line, name="template_line"),
    path(
        "templates/lines/<int:pk>/remove/",
        templates.template_line_remove,
        name="template_line_remove",
    ),
]

router = SimpleRouter()
router.register("templates", templates_api.TemplateViewSet)
router.register("template-options", templates_api.TemplateOptionViewSet)
router.register("template-stages", templates_api.TemplateStageViewSet)
router.register("template-lines", templates_api.TemplateLineViewSet)
router.register("template-specifications", templates_api.TemplateSpecViewSet)
router.register("template-failures", templates_api.TemplateFailureViewSet)

api_urlpatterns: list[URLPattern | URLResolver] = [
    *router.urls,
]
