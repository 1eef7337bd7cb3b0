"""Pages of a list."""

from typing import Any

from rest_framework.pagination import CursorPagination, PageNumberPagination

ADDRESS = {"type": ["string", "null"], "format": "uri"}


class Pages(PageNumberPagination):
    """Numbered pages with a count, for lists of a shop's size."""

    page_size = 50
    max_page_size = 200
    page_size_query_param = "page_size"
    page_size_query_description = "How many rows a page has, 1 to 200."

    def get_paginated_response_schema(self, schema: dict[str, Any]) -> dict[str, Any]:
        """Describe a page: how many rows there are in all, where the next ones are, and these."""
        count = {"type": "integer", "description": "How many rows there are in all pages."}
        paged = page_of(schema, example="https://shop.example/api/v1/builds/?page=2")
        paged["properties"] = {"count": count, **paged["properties"]}
        paged["required"] = ["count", *paged["required"]]
        return paged


class JournalPages(CursorPagination):
    """Pages without a count, for journals that only grow: page 1,000 costs what page 1 does."""

    page_size = 50
    max_page_size = 200
    page_size_query_param = "page_size"
    page_size_query_description = Pages.page_size_query_description
    ordering = "-id"

    def get_paginated_response_schema(self, schema: dict[str, Any]) -> dict[str, Any]:
        """Describe a page: where the next rows are, and these."""
        return page_of(schema, example="https://shop.example/api/v1/entries/?cursor=cD00MTI")


def page_of(rows: dict[str, Any], *, example: str) -> dict[str, Any]:
    """Return the schema of a page with `rows`, and `example` as the address of the next one."""
    return {
        "type": "object",
        "required": ["next", "previous", "results"],
        "properties": {
            "next": ADDRESS
            | {"description": "The next page; null on the last.", "example": example},
            "previous": ADDRESS | {"description": "The page before; null on the first."},
            "results": rows,
        },
    }
