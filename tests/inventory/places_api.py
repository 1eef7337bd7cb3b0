"""A small API on the shared bases, for the tests of what they promise."""

from django.urls import include, path
from rest_framework.parsers import MultiPartParser
from rest_framework.response import Response
from rest_framework.routers import DefaultRouter

from inventory.base.api.views import ActionView, EditViewSet, Serializer
from inventory.base.refusals import Refusal
from inventory.models import Place


class PlaceSerializer(Serializer):
    class Meta:
        model = Place
        fields = ["id", "name"]


class PlaceViewSet(EditViewSet):
    queryset = Place.objects.all()
    serializer_class = PlaceSerializer


class RefusingView(ActionView):
    def post(self, request):
        Place.objects.create(name="half done")
        raise Refusal("The drawer is stuck. Pull harder.", field="name")


class BrokenView(ActionView):
    def post(self, request):
        Place.objects.create(name="half done")
        raise RuntimeError("a fault of the program")


class PhotoView(ActionView):
    parser_classes = [MultiPartParser]

    def post(self, request):
        Place.objects.create(name=request.data["name"])
        return Response({"bytes": request.FILES["photo"].size}, status=201)


router = DefaultRouter()
router.register("places", PlaceViewSet, basename="place")
urlpatterns = [
    path("", include(router.urls)),
    path("refuse/", RefusingView.as_view()),
    path("break/", BrokenView.as_view()),
    path("photo/", PhotoView.as_view()),
]
