"""Addresses of access: its pages, and its part of the API."""

from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import LogoutView
from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from inventory.base.roles import ROLES, allow_roles
from shop.access import api
from shop.access.pages import confirm, mine, people, second_factor, sign_in

urlpatterns: list[URLPattern | URLResolver] = [
    path("login/", login_not_required(sign_in.SignInView.as_view()), name="login"),
    path("login/code/", sign_in.sign_in_code, name="sign_in_code"),
    path("logout/", allow_roles(*ROLES, "")(LogoutView.as_view()), name="logout"),
    path("my-access/", mine.my_access, name="my_access"),
    path("my-access/password/", mine.my_password, name="my_password"),
    path("my-access/sessions/end/", mine.my_sessions_end, name="my_sessions_end"),
    path("my-access/second-factor/", second_factor.my_second_factor, name="my_second_factor"),
    path(
        "my-access/second-factor/off/",
        second_factor.my_second_factor_off,
        name="my_second_factor_off",
    ),
    path(
        "my-access/second-factor/codes/",
        second_factor.my_recovery_codes,
        name="my_recovery_codes",
    ),
    path("my-access/confirm/", confirm.confirm, name="confirm"),
    path("workshop/people/", people.people, name="people"),
    path("workshop/people/new/", people.person_add, name="person_add"),
    path("workshop/people/<int:pk>/role/", people.person_role, name="person_role"),
    path("workshop/people/<int:pk>/password/", people.person_password, name="person_password"),
    path("workshop/people/<int:pk>/end/", people.person_end, name="person_end"),
    path("workshop/people/<int:pk>/admit/", people.person_admit, name="person_admit"),
    path("workshop/people/<int:pk>/factor/", people.person_factor_off, name="person_factor_off"),
    path("workshop/access-log/", people.access_log, name="access_log"),
]

router = SimpleRouter()
router.register("people", api.PersonViewSet, basename="api_people")
router.register("access-log", api.AccessLogViewSet, basename="api_access_log")

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("my-access/password/", api.MyPasswordView.as_view(), name="api_my_password"),
    path("my-access/sessions/", api.SessionsView.as_view(), name="api_sessions"),
    path("my-access/sessions/end/", api.EndSessionsView.as_view(), name="api_sessions_end"),
    *router.urls,
]
