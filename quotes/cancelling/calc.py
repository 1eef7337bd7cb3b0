"""What a cancelled commission comes to: work and materials so far, beside the deposit."""

from dataclasses import dataclass
from decimal import Decimal

from quotes.base.calc.figures import Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class Settlement:
    """A figure to talk from: what was done so far and the deposit, gross, in the client's money.

    `work` opens to its parts. `agreed` is the whole price with billed changes; what was `invoiced`
    is net of credit notes.
    """

    work: Figure
    deposit: Decimal
    agreed: Decimal
    invoiced: Decimal
    received: Decimal

    @property
    def proposed(self) -> Decimal:
        """The dearer of work so far and deposit, and never more than was agreed."""
        return min(max(self.work.amount, self.deposit), self.agreed)

    @property
    def because(self) -> str:
        """Which of them the proposal is."""
        if self.proposed == self.agreed:
            return "the whole agreed price: the work so far comes to at least that"
        if self.work.amount >= self.deposit:
            return "the work so far, which is more than the deposit"
        return "the deposit, which is more than the work so far"

    @property
    def to_pay(self) -> Decimal:
        """What is left to pay of the proposal; below 0 it goes back to the client."""
        return self.proposed - self.received


def credits_latest_first(left: list[Decimal], amount: Decimal) -> list[Decimal]:
    """Share `amount` over what is left of invoices, the last of the list first."""
    credits: list[Decimal] = []
    for each in reversed(left):
        taken = min(each, amount)
        credits.insert(0, taken)
        amount -= taken
    return credits
