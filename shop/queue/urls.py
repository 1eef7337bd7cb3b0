"""Addresses of queue: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path

from shop.queue import api
from shop.queue.pages import buying, feed, month, queue, settings, trying

urlpatterns: list[URLPattern | URLResolver] = [
    path("queue/", queue.queue, name="queue"),
    path("queue/keep/", queue.queue_keep, name="queue_keep"),
    path("queue/order/", queue.queue_order, name="queue_order"),
    path("queue/today/", queue.queue_today, name="queue_today"),
    path("queue/to-buy/", buying.queue_buying, name="queue_buying"),
    path("queue/<int:year>/<int:month>/", month.queue_month, name="queue_month"),
    path("queue/wall.pdf", month.queue_wall, name="queue_wall"),
    path("queue/promises/", queue.promises, name="promises"),
    path("queue/what-if/", trying.what_if, name="what_if"),
    path("queue/suggested/", trying.suggested, name="queue_suggested"),
    path("queue/<int:pk>/move/", queue.queue_move, name="queue_move"),
    path("queue/<int:pk>/waits/", queue.queue_block, name="queue_block"),
    path("queue/<int:pk>/promise/", queue.queue_promise, name="queue_promise"),
    path("queue/calendar/<str:secret>.ics", feed.queue_calendar, name="queue_calendar"),
    path("builds/<int:pk>/forecast/", queue.build_forecast, name="build_forecast"),
    path("workshop/queue/", settings.queue_settings, name="queue_settings"),
    path("workshop/queue/things/new/", settings.thing_new, name="thing_new"),
    path("workshop/queue/things/<int:pk>/", settings.thing, name="thing"),
    path("workshop/queue/things/<int:pk>/use/", settings.thing_use, name="thing_use"),
    path("workshop/queue/things/<int:pk>/remove/", settings.thing_remove, name="thing_remove"),
    path("workshop/queue/uses/<int:pk>/remove/", settings.thing_use_remove, name="use_remove"),
    path("workshop/queue/windows/new/", settings.window_new, name="window_new"),
    path("workshop/queue/windows/<int:pk>/remove/", settings.window_remove, name="window_remove"),
    path("workshop/queue/hands/new/", settings.hands_new, name="hands_new"),
    path("workshop/queue/hands/<int:pk>/remove/", settings.hands_remove, name="hands_remove"),
    path("workshop/queue/calendar/", settings.calendar_link_new, name="calendar_link_new"),
    path(
        "workshop/queue/calendar/revoke/",
        settings.calendar_link_revoke,
        name="calendar_link_revoke",
    ),
]

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("queue/", api.QueueView.as_view(), name="api_queue"),
    path("queue/move/", api.MoveView.as_view(), name="api_queue_move"),
    path("queue/waits/", api.BlockView.as_view(), name="api_queue_block"),
    path("queue/promise/", api.PromiseView.as_view(), name="api_queue_promise"),
    path("queue/what-if/", api.WhatIfView.as_view(), name="api_what_if"),
    path("queue/today/", api.TodayView.as_view(), name="api_queue_today"),
    path("queue/to-buy/", api.BuyingView.as_view(), name="api_queue_buying"),
    path("builds/<int:pk>/forecast/", api.ForecastView.as_view(), name="api_build_forecast"),
]
