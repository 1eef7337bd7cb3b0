"""Addresses of quotes, room by room: the API."""

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
from quotes.sending import urls as sending
from quotes.shop_rate import urls as shop_rate
from quotes.work_done import urls as work_done
from quotes.year import urls as year
from quotes.year_end import urls as year_end

urlpatterns: list[URLPattern | URLResolver] = [
    *desk.api_urlpatterns,
    *year.api_urlpatterns,
    *year_end.api_urlpatterns,
    *risk.api_urlpatterns,
    *sending.api_urlpatterns,
    *client_page.api_urlpatterns,
    *quoting.api_urlpatterns,
    *work_done.api_urlpatterns,
    *cancelling.api_urlpatterns,
    *closing.api_urlpatterns,
    *changes.api_urlpatterns,
    *invoicing.api_urlpatterns,
    *shop_rate.api_urlpatterns,
    *pricing.api_urlpatterns,
    *papers.api_urlpatterns,
]
