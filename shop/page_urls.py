"""Addresses of the workshop's pages."""

from datetime import date

from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import LoginView, LogoutView
from django.urls import path, register_converter

from inventory.base.roles import ROLES, allow_roles
from shop.archive import pages as everything
from shop.builds.pages import builds, lost_days, setting_up
from shop.builds.pages import papers as build_papers
from shop.builds.pages import stock as build_stock
from shop.desk.pages import first_run, today
from shop.devices.pages import bench, devices
from shop.estimates.pages import estimates
from shop.hours.pages import clock, hours
from shop.hours.pages import hours as hours_year
from shop.past_sheets import pages as old_hours
from shop.patterns.pages import failures, stocking, templates
from shop.workshop import pages as workshop


class DayConverter:
    """A calendar day in an address, such as 2027-03-16."""

    regex = r"\d{4}-\d{2}-\d{2}"

    def to_python(self, value: str) -> date:
        return date.fromisoformat(value)

    def to_url(self, value: date) -> str:
        return value.isoformat()


register_converter(DayConverter, "day")

urlpatterns = [
    path("", today.today, name="today"),
    path("first-run/", first_run.first_run, name="first_run"),
    path("login/", login_not_required(LoginView.as_view()), name="login"),
    path("logout/", allow_roles(*ROLES, "")(LogoutView.as_view()), name="logout"),
    path("bench/", bench.bench, name="bench"),
    path("bench/pair/", bench.bench, name="bench_pair"),
    path("bench/p/<str:number>/", bench.bench, name="bench_piece"),
    path("bench/sw.js", bench.service_worker, name="bench_worker"),
    path("bench/manifest.webmanifest", bench.manifest, name="bench_manifest"),
    path("builds/", builds.builds, name="builds"),
    path("builds/new/", builds.build_new, name="build_new"),
    path("builds/<int:pk>/", builds.build, name="build"),
    path("builds/<int:pk>/change/", builds.build_edit, name="build_edit"),
    path("builds/<int:pk>/hours/", builds.build_hours, name="build_hours"),
    path("builds/<int:pk>/estimates/<str:act>/", estimates.build_set_aside, name="build_set_aside"),
    path("builds/<int:pk>/set-up/", setting_up.build_setup, name="build_setup"),
    path("builds/<int:pk>/notes/", builds.build_notes, name="build_notes"),
    path("builds/<int:pk>/days-lost/", lost_days.lost_days, name="lost_days"),
    path("builds/days-lost/<int:pk>/remove/", lost_days.lost_days_remove, name="lost_days_remove"),
    path("builds/<int:pk>/job-card/", build_papers.job_card, name="job_card"),
    path("builds/<int:pk>/job-card.pdf", build_papers.job_card_pdf, name="job_card_pdf"),
    path("builds/<int:pk>/act/<str:act>/", builds.build_act, name="build_act"),
    path("builds/<int:pk>/material/", build_stock.build_material, name="build_material"),
    path("builds/<int:pk>/put-aside/", build_stock.build_put_aside, name="build_put_aside"),
    path("builds/<int:pk>/draw/", build_stock.build_draw, name="build_draw"),
    path("builds/lines/<int:pk>/piece/", build_stock.build_piece, name="build_piece"),
    path("builds/lines/<int:pk>/material/", build_stock.line_material, name="line_material"),
    path("builds/draws/<int:pk>/return/", build_stock.draw_return, name="draw_return"),
    path("builds/draws/<int:pk>/scrap/", build_stock.draw_scrap, name="draw_scrap"),
    path("builds/notes/<int:pk>/photo/small/", builds.small_build_photo, name="small_build_photo"),
    path("builds/notes/<int:pk>/photo/", builds.build_photo, name="build_photo"),
    path("builds/stages/<int:pk>/set-aside/", builds.stage_set_aside, name="stage_set_aside"),
    path("builds/stages/<int:pk>/<str:act>/", builds.stage_act, name="stage_act"),
    path("clock/switch/", clock.clock_switch, name="clock_switch"),
    path("clock/<int:pk>/stop/", clock.clock_stop, name="clock_stop"),
    path("clock/<int:pk>/undo/", clock.clock_undo, name="clock_undo"),
    path("clock/<int:pk>/settle/", clock.clock_settle, name="clock_settle"),
    path("hours/", hours.hours, name="hours"),
    path("hours/<day:day>/", hours.hours_day, name="hours_day"),
    path("hours/week/<day:day>/", hours.hours_week, name="hours_week"),
    path("hours/month/<day:day>/", hours.hours_month, name="hours_month"),
    path("hours/year/<int:year>/", hours_year.hours_year, name="hours_year"),
    path("hours/entries/<int:pk>/", hours.hours_entry, name="hours_entry"),
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
    path("templates/<int:pk>/options/", templates.template_options, name="template_options"),
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
    path("templates/<int:pk>/old-hours/", old_hours.old_hours, name="old_hours"),
    path(
        "templates/<int:pk>/old-hours/reading/",
        old_hours.old_hours_reading,
        name="old_hours_reading",
    ),
    path(
        "templates/old-hours/<int:pk>/take-back/",
        old_hours.old_hours_take_back,
        name="old_hours_take_back",
    ),
    path("templates/related/<int:pk>/remove/", estimates.related_remove, name="related_remove"),
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
    path("workshop/", workshop.workshop, name="workshop"),
    path("workshop/change/", workshop.workshop_edit, name="workshop_edit"),
    path("workshop/week/", workshop.week_edit, name="week_edit"),
    path("workshop/estimates/", estimates.estimate_settings, name="estimate_settings"),
    path("workshop/days-off/new/", workshop.day_off_add, name="day_off_add"),
    path("workshop/days-off/<int:pk>/remove/", workshop.day_off_remove, name="day_off_remove"),
    path("workshop/people/new/", workshop.person_add, name="person_add"),
    path("workshop/everything/", everything.everything, name="everything"),
    path("workshop/units/", workshop.my_units, name="my_units"),
    path("workshop/devices/", devices.devices, name="devices"),
    path("workshop/devices/<str:token_key>/revoke/", devices.device_revoke, name="device_revoke"),
]
