"""Addresses of builds: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from shop.builds.api import builds as builds_api
from shop.builds.api import pieces
from shop.builds.api.lost_days import LostDaysViewSet
from shop.builds.api.setting_up import ReadingViewSet
from shop.builds.pages import builds, lost_days, papers, setting_up, stock

urlpatterns: list[URLPattern | URLResolver] = [
    path("builds/", builds.builds, name="builds"),
    path("builds/new/", builds.build_new, name="build_new"),
    path("builds/<int:pk>/", builds.build, name="build"),
    path("builds/<int:pk>/change/", builds.build_edit, name="build_edit"),
    path("builds/<int:pk>/hours/", builds.build_hours, name="build_hours"),
    path("builds/<int:pk>/set-up/", setting_up.build_setup, name="build_setup"),
    path("builds/<int:pk>/notes/", builds.build_notes, name="build_notes"),
    path("builds/<int:pk>/days-lost/", lost_days.lost_days, name="lost_days"),
    path("builds/days-lost/<int:pk>/remove/", lost_days.lost_days_remove, name="lost_days_remove"),
    path("builds/<int:pk>/job-card/", papers.job_card, name="job_card"),
    path("builds/<int:pk>/job-card.pdf", papers.job_card_pdf, name="job_card_pdf"),
    path("builds/<int:pk>/act/<str:act>/", builds.build_act, name="build_act"),
    path("builds/<int:pk>/material/", stock.build_material, name="build_material"),
    path("builds/<int:pk>/put-aside/", stock.build_put_aside, name="build_put_aside"),
    path("builds/<int:pk>/draw/", stock.build_draw, name="build_draw"),
    path("builds/<int:pk>/draw/stage/", stock.build_draw_stage, name="build_draw_stage"),
    path("builds/lines/<int:pk>/piece/", stock.build_piece, name="build_piece"),
    path("builds/lines/<int:pk>/material/", stock.line_material, name="line_material"),
    path("builds/draws/<int:pk>/return/", stock.draw_return, name="draw_return"),
    path("builds/draws/<int:pk>/scrap/", stock.draw_scrap, name="draw_scrap"),
    path("builds/notes/<int:pk>/photo/small/", builds.small_build_photo, name="small_build_photo"),
    path("builds/notes/<int:pk>/release/", builds.release_build_photo, name="release_build_photo"),
    path("builds/notes/<int:pk>/photo/", builds.build_photo, name="build_photo"),
    path("builds/stages/<int:pk>/set-aside/", builds.stage_set_aside, name="stage_set_aside"),
    path("builds/stages/<int:pk>/<str:act>/", builds.stage_act, name="stage_act"),
]

router = SimpleRouter()
router.register("builds", builds_api.BuildViewSet)
router.register("draws", builds_api.BuildDrawViewSet)
router.register("stages", builds_api.StageViewSet)
router.register("lost-days", LostDaysViewSet)
router.register("readings", ReadingViewSet)

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("build-lines/<int:pk>/proposals/", pieces.BuildLineProposalsView.as_view()),
    path(
        "build-lines/<int:pk>/material/",
        pieces.LineMaterialView.as_view(),
        name="api_line_material",
    ),
    path("template-lines/<int:pk>/proposals/", pieces.TemplateLineProposalsView.as_view()),
    *router.urls,
]
