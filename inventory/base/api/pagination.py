"""Pages of a list."""

from rest_framework.pagination import CursorPagination, PageNumberPagination


class Pages(PageNumberPagination):
    """Numbered pages with a count, for lists of a shop's size."""

    page_size = 50
    max_page_size = 200
    page_size_query_param = "page_size"


class JournalPages(CursorPagination):
    """Pages without a count, for journals that only grow: page 1,000 costs what page 1 does."""

    page_size = 50
    max_page_size = 200
    page_size_query_param = "page_size"
    ordering = "-id"
