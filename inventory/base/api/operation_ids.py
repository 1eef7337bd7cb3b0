"""Names of operations: what is worked on, then a verb, such as `quotes_issue`."""

VERBS = {
    "list": "list",
    "retrieve": "read",
    "create": "create",
    "update": "replace",
    "partial_update": "edit",
    "destroy": "delete",
    "GET": "read",
    "PUT": "replace",
    "PATCH": "edit",
    "DELETE": "delete",
}
"""By the action of a view set, or by the method of a plain view."""
POSTED = {
    "add": ("draws", "failures", "instruments", "interruptions", "line", "moisture", "notes",
            "old-hours", "papers", "photos", "prices", "proposals", "readings", "scraps",
            "weighings"),
    "set": ("logo", "paper-look", "password", "pricing-policy", "queue", "role", "shop-rate",
            "units", "waits"),
    "create": ("cutting-plans",),
    "announce": ("hello",),
    "invoice": ("work-done",),
    "name": ("material",),
    "make": ("code",),
    "mark": ("seen", "sent"),
    "take": ("hours",),
    "work_out": ("pull",),
    "try": ("what-if",),
}  # fmt: skip
"""What a POST does where the last part of its address is no verb itself."""
_VERB_OF = {part: verb for verb, parts in POSTED.items() for part in parts}


def operation_id(parts: list[str], *, method: str, action: str, is_list: bool) -> str:
    """Return the name of the operation at the address of `parts`, its variables left out."""
    if method == "POST" and action != "create":
        verb = _VERB_OF.get(parts[-1], "")
    elif method == "GET":
        verb = "list" if is_list else "read"
    else:
        verb = VERBS.get(action) or VERBS.get(method, "create")
    return "_".join(filter(None, [*parts, verb])).replace("-", "_")
