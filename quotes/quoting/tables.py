"""The columns of the list of quotes, on its page and in its file."""

from inventory.base.lists import Column

QUOTE_COLUMNS = [
    Column(key="title", label="Quote", order=("title",), cell=lambda row: row.quote.title),
    Column(key="number", label="Number", cell=lambda row: row.quote.number),
    Column(
        key="client",
        label="Client",
        order=("commission__client__name",),
        cell=lambda row: row.quote.commission.client.name,
    ),
    Column(key="state", label="Status", order=("state",), cell=lambda row: row.word),
    Column(
        key="valid",
        label="Valid until",
        order=("valid_until",),
        cell=lambda row: row.quote.valid_until or "",
    ),
    Column(
        key="gross",
        label="Client pays, gross",
        order=("gross",),
        kind="num",
        first="-",
        cell=lambda row: "" if row.gross is None else row.gross,
    ),
    Column(key="currency", label="Currency", cell=lambda row: row.quote.currency),
]
SHOWN = [column for column in QUOTE_COLUMNS if column.key not in {"number", "currency"}]
"""On the page the number stands below the title, and the currency beside its amount."""
