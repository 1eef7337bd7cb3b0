"""Addresses of paperwork: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from inventory.paperwork import api, pages

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<str:number>/photo/", pages.new_photo, name="new_photo"),
    path("p/<str:number>/paper/", pages.new_paper, name="new_paper"),
    path("photos/<int:pk>/", pages.photo_file, name="photo_file"),
    path("photos/<int:pk>/small/", pages.small_photo_file, name="small_photo"),
    path("photos/<int:pk>/remove/", pages.delete_photo, name="remove_photo"),
    path("papers/<int:pk>/", pages.paper_file, name="paper_file"),
    path("papers/<int:pk>/change/", pages.edit_paper, name="edit_paper"),
    path("papers/<int:pk>/remove/", pages.delete_paper, name="remove_paper"),
    path("data-sheets/<int:pk>/", pages.data_sheet, name="data_sheet"),
]

router = SimpleRouter()
router.register("papers", api.PaperViewSet)
router.register("photos", api.PhotoViewSet)

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("lots/<str:number>/papers/", api.LotPapersView.as_view()),
    path("papers/<int:pk>/file/", api.PaperFileView.as_view()),
    path("materials/<int:pk>/data-sheet/", api.DataSheetView.as_view(), name="api_data_sheet"),
    path("holders/<str:holder>/customs/", api.CustomsView.as_view()),
    *router.urls,
]
