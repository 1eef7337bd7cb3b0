"""The columns of the list of clients, on its page and in its file."""

from inventory.base.lists import Column

CLIENT_COLUMNS = [
    Column(key="name", label="Client", order=("name",), cell=lambda row: row.name),
    Column(key="kind", label="Kind", order=("kind",), cell=lambda row: row.get_kind_display()),
    Column(key="currency", label="Currency", order=("currency",), cell=lambda row: row.currency),
    Column(
        key="asked",
        label="Commissions",
        order=("asked",),
        kind="num",
        first="-",
        cell=lambda row: row.asked,
    ),
    Column(
        key="latest",
        label="Latest commission",
        order=("last_asked",),
        first="-",
        cell=lambda row: row.last_asked or "",
    ),
]
