"""Addresses of the quotes app's pages."""

from django.urls import URLPattern, URLResolver, path, register_converter

from quotes.changes import pages as changes
from quotes.client_page.pages import links, offer, offer_change
from quotes.closing import pages as close_out
from quotes.desk import pages as books
from quotes.desk import pages as clients
from quotes.desk import pages as commissions
from quotes.desk import pages as today_books
from quotes.invoicing import pages as money
from quotes.pricing import pages as policy
from quotes.quoting.pages import decisions, new_quote, pieces, quote, quote_hours, quote_list, rows
from quotes.quoting.pages import rows as failures
from quotes.risk import pages as risk
from quotes.shop_rate import pages as shop_rate
from quotes.year import pages as year


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
    path("quotes/<int:pk>/terms/", quote.quote_terms, name="quote_terms"),
    path("quotes/<int:pk>/price/", quote.quote_price, name="quote_price"),
    path("quotes/<int:pk>/options/", quote.quote_options, name="quote_options"),
    path("quotes/<int:pk>/paper/", quote.quote_document, name="quote_document"),
    path("quotes/<int:pk>/hours/", quote_hours.quote_hours, name="quote_hours"),
    path("quotes/<int:pk>/rows/", rows.quote_rows, name="quote_rows"),
    path("quotes/<int:pk>/add/failure/", failures.quote_failure_new, name="quote_failure_new"),
    path("quotes/<int:pk>/failure/<int:failure_pk>/", failures.quote_failure, name="quote_failure"),
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
    path("quotes/<int:pk>/link/", links.quote_link, name="quote_link"),
    path("quotes/<int:pk>/acceptance/", links.quote_acceptance, name="quote_acceptance"),
    path("quotes/links/<int:pk>/withdraw/", links.link_withdraw, name="link_withdraw"),
    path("quotes/messages/<int:pk>/seen/", links.message_seen, name="message_seen"),
    path("quotes/<int:pk>/risk/", risk.quote_risk, name="quote_risk"),
    path("quotes/<int:pk>/copy/", new_quote.quote_copy, name="quote_copy"),
    path("offer/<slug:secret>/", offer.offer, name="offer"),
    path("offer/<slug:secret>/paper/", offer.offer_paper, name="offer_paper"),
    path("offer/<slug:secret>/signed/", offer.offer_signed, name="offer_signed"),
    path("offer/<slug:secret>/accept/", offer.offer_accept, name="offer_accept"),
    path("offer/<slug:secret>/decline/", offer.offer_decline, name="offer_decline"),
    path("offer/change/<slug:secret>/", offer_change.offer_change, name="offer_change"),
    path(
        "offer/change/<slug:secret>/paper/",
        offer_change.offer_change_paper,
        name="offer_change_paper",
    ),
    path(
        "offer/change/<slug:secret>/signed/",
        offer_change.offer_change_signed,
        name="offer_change_signed",
    ),
    path(
        "offer/change/<slug:secret>/agree/",
        offer_change.offer_change_agree,
        name="offer_change_agree",
    ),
    path(
        "offer/change/<slug:secret>/decline/",
        offer_change.offer_change_decline,
        name="offer_change_decline",
    ),
    path("offer/", offer.offer_nowhere, {"secret": ""}, name="offer_without_secret"),
    path("offer/<path:secret>", offer.offer_nowhere, name="offer_nowhere"),
    path("clients/", clients.clients, name="clients"),
    path("clients/new/", clients.client_new, name="client_new"),
    path("clients/<int:pk>/", clients.client, name="client"),
    path("clients/<int:pk>/edit/", clients.client_edit, name="client_edit"),
    path("clients/<int:pk>/statement/<str:currency>/", money.statement, name="statement"),
    path("commissions/<int:pk>/", commissions.commission, name="commission"),
    path("commissions/<int:pk>/cancel/", commissions.commission_cancel, name="commission_cancel"),
    path("commissions/<int:pk>/payment/", money.payment_new, name="payment_new"),
    path("quotes/<int:pk>/invoice/<int:part>/", money.invoice_part, name="invoice_part"),
    path("quotes/<int:pk>/confirmation/", changes.confirmation, name="confirmation"),
    path("quotes/<int:pk>/change/", changes.change_new, name="change_new"),
    path("builds/<int:pk>/changes/", changes.build_changes, name="build_changes"),
    path("changes/<int:pk>/", changes.change, name="change"),
    path("changes/<int:pk>/paper/", changes.change_document, name="change_document"),
    path("changes/<int:pk>/invoice/", money.invoice_change, name="invoice_change"),
    path("changes/<int:pk>/link/", links.change_link, name="change_link"),
    path("changes/<int:pk>/agreement/", links.change_agreement, name="change_agreement"),
    path("changes/<int:pk>/<str:said>/", changes.change_decide, name="change_decide"),
    path("invoices/<int:pk>/", money.invoice, name="invoice"),
    path("invoices/<int:pk>/paper/", money.invoice_document, name="invoice_document"),
    path("invoices/<int:pk>/credit/", money.invoice_credit, name="invoice_credit"),
    path("payments/<int:pk>/correct/", money.payment_correct, name="payment_correct"),
    path("payments/<int:pk>/receipt/", money.payment_receipt, name="payment_receipt"),
    path("workshop/tax-rates/new/", policy.tax_rate_add, name="tax_rate_add"),
    path("workshop/tax-rates/<int:pk>/remove/", policy.tax_rate_remove, name="tax_rate_remove"),
    path("workshop/shop-rate/", shop_rate.shop_rate, name="shop_rate"),
    path("workshop/shop-rate/try/", shop_rate.shop_rate_try, name="shop_rate_try"),
    path("workshop/pricing/", policy.pricing_policy, name="pricing_policy"),
    path("builds/<int:pk>/certificate/", close_out.certificate, name="certificate"),
    path("builds/<int:pk>/close-out/", close_out.close_out, name="close_out"),
    path("builds/expenses/<int:pk>/remove/", close_out.expense_remove, name="expense_remove"),
    path("books/", books.books, name="books"),
    path("books/<int:year>/", year.year, name="year"),
    path("books/<int:year>/<slug:table>.csv", year.year_csv, name="year_csv"),
    path("books/<int:year>.xlsx", year.year_xlsx, name="year_xlsx"),
    path("books/today/", today_books.today_books, name="today_books"),
    path("books/first-steps/", today_books.today_steps, name="today_steps"),
]
