"""The columns of the list of clients, on its page and in its file."""

from inventory.base.lists import Column, figure, of_field

CLIENT_COLUMNS = [
    of_field("name", "Client", "name"),
    Column(key="kind", label="Kind", order=("kind",), cell=lambda row: row.get_kind_display()),
    of_field("currency", "Currency", "currency"),
    figure("asked", "Commissions", "asked"),
    of_field("latest", "Latest commission", "last_asked", first="-"),
]
