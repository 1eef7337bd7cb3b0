"""Addresses of quoting: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path, register_converter
from rest_framework.routers import SimpleRouter

from quotes.quoting.api import comparing, hours
from quotes.quoting.api import rows as rows_api
from quotes.quoting.api.pieces import RowProposalsView
from quotes.quoting.api.quotes import QuoteViewSet
from quotes.quoting.pages import (
    decisions,
    instruments,
    new_quote,
    pieces,
    queue,
    quote,
    quote_hours,
    quote_list,
    rows,
    specification,
)


class RowKind:
    """A kind of row of a quote."""

    regex = "stage|material|extra|failure"

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value


register_converter(RowKind, "kind")


urlpatterns: list[URLPattern | URLResolver] = [
    path("quotes/", quote_list.quotes, name="quotes"),
    path("quotes/new/", new_quote.quote_new, name="quote_new"),
    path("quotes/new/hours/", new_quote.quote_new_hours, name="quote_new_hours"),
    path("quotes/<int:pk>/", quote.quote, name="quote"),
    path("queue/picture/", queue.queue_picture, name="queue_picture"),
    path("quotes/<int:pk>/queue/", queue.quote_queue, name="quote_queue"),
    path("quotes/<int:pk>/terms/", quote.quote_terms, name="quote_terms"),
    path(
        "quotes/<int:pk>/specification/",
        specification.quote_specification,
        name="quote_specification",
    ),
    path("quotes/<int:pk>/price/", quote.quote_price, name="quote_price"),
    path("quotes/<int:pk>/options/", quote.quote_options, name="quote_options"),
    path("quotes/<int:pk>/paper/", quote.quote_document, name="quote_document"),
    path("quotes/<int:pk>/hours/", quote_hours.quote_hours, name="quote_hours"),
    path("quotes/<int:pk>/rows/", rows.quote_rows, name="quote_rows"),
    path("quotes/<int:pk>/add/failure/", rows.quote_failure_new, name="quote_failure_new"),
    path("quotes/<int:pk>/failure/<int:failure_pk>/", rows.quote_failure, name="quote_failure"),
    path("quotes/<int:pk>/material/<int:row_pk>/piece/", pieces.quote_piece, name="quote_piece"),
    path(
        "quotes/<int:pk>/put-back/<str:sealed>/",
        rows.quote_row_put_back,
        name="quote_row_put_back",
    ),
    path("quotes/<int:pk>/add/<kind:kind>/", rows.quote_add, name="quote_add"),
    path("quotes/<int:pk>/<kind:kind>/<int:row_pk>/", rows.quote_row, name="quote_row"),
    path(
        "quotes/<int:pk>/<kind:kind>/<int:row_pk>/remove/",
        rows.quote_row_remove,
        name="quote_row_remove",
    ),
    path("quotes/<int:pk>/beside/<int:other_pk>/", quote.quote_compare, name="quote_compare"),
    path("quotes/<int:pk>/issue/", decisions.quote_issue, name="quote_issue"),
    path("quotes/<int:pk>/revise/", decisions.quote_revise, name="quote_revise"),
    path("quotes/<int:pk>/accept/", decisions.quote_accept, name="quote_accept"),
    path("quotes/<int:pk>/decline/", decisions.quote_decline, name="quote_decline"),
    path("quotes/<int:pk>/hold/", decisions.quote_hold, name="quote_hold"),
    path("quotes/<int:pk>/release/", decisions.quote_release, name="quote_release"),
    path("quotes/<int:pk>/instruments/new/", instruments.instrument_new, name="instrument_new"),
    path(
        "quotes/<int:pk>/instruments/<int:other_pk>/up/",
        instruments.instrument_up,
        name="instrument_up",
    ),
    path(
        "quotes/<int:pk>/instruments/<int:other_pk>/leave/",
        instruments.instrument_leave,
        name="instrument_leave",
    ),
    path(
        "quotes/<int:pk>/instruments/<int:other_pk>/join/",
        instruments.instrument_join,
        name="instrument_join",
    ),
    path("quotes/<int:pk>/copy/", new_quote.quote_copy, name="quote_copy"),
]

router = SimpleRouter()
router.register("quotes", QuoteViewSet)

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("quotes/<int:pk>/hours/", hours.QuoteHoursView.as_view(), name="api_quote_hours"),
    path("quotes/<int:pk>/rows/add/", rows_api.RowAddView.as_view(), name="api_row_add"),
    path("quotes/<int:pk>/rows/remove/", rows_api.RowRemoveView.as_view(), name="api_row_remove"),
    path("quotes/<int:pk>/failures/", rows_api.FailureNewView.as_view(), name="api_failure_new"),
    path(
        "quotes/<int:pk>/failures/<int:failure_pk>/",
        rows_api.FailureView.as_view(),
        name="api_failure",
    ),
    path(
        "quotes/<int:pk>/specification/",
        rows_api.SpecificationView.as_view(),
        name="api_quote_specification",
    ),
    path(
        "quotes/<int:pk>/specification/steps/",
        comparing.SpecificationStepsView.as_view(),
        name="api_specification_steps",
    ),
    path(
        "quotes/<int:pk>/beside/<int:other_pk>/",
        comparing.SideBySideView.as_view(),
        name="api_side_by_side",
    ),
    path(
        "quotes/<int:pk>/confirmation/",
        comparing.ConfirmationView.as_view(),
        name="api_confirmation",
    ),
    path("quotes/<int:pk>/set-price/", rows_api.PriceSetView.as_view(), name="api_set_price"),
    path(
        "quotes/<int:pk>/materials/<int:row_pk>/proposals/",
        RowProposalsView.as_view(),
        name="api_row_proposals",
    ),
    *router.urls,
]
