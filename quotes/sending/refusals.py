"""What sending declines."""

from inventory.base.refusals import Refusal


class NoMailAccount(Refusal):
    """There is no account to send through."""

    def __init__(self) -> None:
        super().__init__(
            "No mail account is set, so nothing can be sent from here. Make a draft file, or name "
            "the account in GRAMIL_MAIL as the README says."
        )


class NoSender(Refusal):
    """A mail needs an address that answers come to."""

    def __init__(self) -> None:
        super().__init__("Enter the workshop’s email address in the workshop details first.")


class NoOutsideAddress(Refusal):
    """A link would open in the shop only."""

    def __init__(self) -> None:
        super().__init__(
            "A client can’t open a link without a public address. Name one in the workshop "
            "details, or send the paper without a link.",
            field="link_until",
        )
