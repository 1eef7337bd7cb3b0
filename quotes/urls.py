"""Addresses of quotes, room by room: pages."""

from django.urls import URLPattern, URLResolver

from quotes.cancelling import urls as cancelling
from quotes.changes import urls as changes
from quotes.client_page import urls as client_page
from quotes.closing import urls as closing
from quotes.desk import urls as desk
from quotes.invoicing import urls as invoicing
from quotes.papers import urls as papers
from quotes.pricing import urls as pricing
from quotes.quoting import urls as quoting
from quotes.risk import urls as risk
from quotes.search import urls as search
from quotes.sending import urls as sending
from quotes.shop_rate import urls as shop_rate
from quotes.work_done import urls as work_done
from quotes.year import urls as year
from quotes.year_end import urls as year_end

urlpatterns: list[URLPattern | URLResolver] = [
    *desk.urlpatterns,
    *year.urlpatterns,
    *year_end.urlpatterns,
    *risk.urlpatterns,
    *sending.urlpatterns,
    *client_page.urlpatterns,
    *quoting.urlpatterns,
    *work_done.urlpatterns,
    *cancelling.urlpatterns,
    *closing.urlpatterns,
    *changes.urlpatterns,
    *invoicing.urlpatterns,
    *shop_rate.urlpatterns,
    *pricing.urlpatterns,
    *papers.urlpatterns,
    *search.urlpatterns,
]
