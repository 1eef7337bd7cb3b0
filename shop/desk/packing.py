"""Answers as small as they can be sent: packed, and not sent again where nothing changed."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.middleware.gzip import GZipMiddleware
from django.middleware.http import ConditionalGetMiddleware

API = "/api/"
WORDS = ("text/", "application/json", "application/problem+json", "image/svg+xml")
"""What packs well; papers, photos and workbooks are packed as they are."""


class PackedMiddleware:
    """Packs what is made of words, and answers the API's readers 304 while nothing has changed.

    An answer that brings its own version stays as it is: `If-Match` names it to the letter.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response
        self.unchanged = ConditionalGetMiddleware(get_response)
        self.pack = GZipMiddleware(get_response)

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response: HttpResponseBase = self.get_response(request)
        if response.has_header("ETag"):
            return response
        if request.path.startswith(API) and not response.streaming:
            response = self.unchanged.process_response(request, response)
        if response.get("Content-Type", "").startswith(WORDS):
            response = self.pack.process_response(request, response)
        return response
