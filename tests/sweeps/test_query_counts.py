"""Every page and every list of the API asks as many questions of many rows as of few, and not many:
what twenty years of books would slow down shows here already."""

from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.models import Piece
from tests.bench.years import LARGER, QUERIES
from tests.sweeps.addresses import addresses
from tests.sweeps.demo import DemoTestCase, read
from tests.sweeps.more_rows import fill_empty_models, multiply_rows

QUEUE_RUNS = {"queue_picture", "quote_queue", "quote-if-accepted"}
"""Pages that run the queue again, for up to five sent quotes: some of it may be kept already."""

FIRST_ROWS = (1, 2, 3, 5)
"""Keys that are tried in turn until there is such a page."""


class QueryCounts(DemoTestCase):
    def test_nothing_asks_more_of_more_rows(self):
        self.client.force_login(self.people["owner"])
        self.client.raise_request_exception = False
        fill_empty_models()
        named = {path: one.name for one in addresses() if (path := self.path_of(one))}
        paths = list(named)
        assert len(paths) > 240
        few = {path: self.queries_of(path) for path in paths}
        multiply_rows(2, most=120)
        many = {path: self.queries_of(path) for path in paths}
        # What takes long to work out is kept, so the second time is what counts.
        many |= {path: self.queries_of(path) for path in paths if many[path] != few[path]}
        more = {path for path in paths if many[path] != few[path]}
        assert {p: (few[p], many[p]) for p in more if named[p] not in QUEUE_RUNS} == {}
        beyond = {path for path, (_, asked) in many.items() if asked > QUERIES}
        assert {named[path] for path in beyond} <= LARGER.keys()

    def path_of(self, one):
        """Return a path at which there is a page, or an empty text: some only take forms."""
        known = {"number": Piece.objects.first().lot.number, "year": self.now.year}
        for pk in FIRST_ROWS:
            path = one.path(pk=pk, holder="build:1", **known)
            if read(self.client.get(path)).status_code == 200:
                return path
        return ""

    def queries_of(self, path):
        with CaptureQueriesContext(connection) as asked:
            status = read(self.client.get(path)).status_code
        return status, len(asked)
