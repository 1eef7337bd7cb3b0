"""Addresses of access: its pages."""

from django.urls import URLPattern, URLResolver, path

from shop.access.pages import confirm, mine, people

urlpatterns: list[URLPattern | URLResolver] = [
    path("my-access/", mine.my_access, name="my_access"),
    path("my-access/password/", mine.my_password, name="my_password"),
    path("my-access/sessions/end/", mine.my_sessions_end, name="my_sessions_end"),
    path("my-access/confirm/", confirm.confirm, name="confirm"),
    path("workshop/people/", people.people, name="people"),
    path("workshop/people/new/", people.person_add, name="person_add"),
    path("workshop/people/<int:pk>/role/", people.person_role, name="person_role"),
    path("workshop/people/<int:pk>/password/", people.person_password, name="person_password"),
    path("workshop/people/<int:pk>/end/", people.person_end, name="person_end"),
    path("workshop/people/<int:pk>/admit/", people.person_admit, name="person_admit"),
    path("workshop/access-log/", people.access_log, name="access_log"),
]
