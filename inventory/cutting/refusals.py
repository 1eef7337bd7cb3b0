"""What cutting declines: another species, and what asks first."""

from collections.abc import Sequence

from inventory.base.refusals import Refusal
from inventory.models import Lot, Material


class AnotherSpecies(Refusal):
    """A part that would no longer be of the species, or under the listing, of what it is cut from.

    A material without a species takes on that of its first wood; one with other stock can't.
    """

    def __init__(self, lot: Lot, becomes: Material) -> None:
        own, other = lot.material.species, becomes.species
        if own and other:
            words = f"{lot.number} is {own}; it can't become {becomes}, which is {other}."
        elif own:
            words = (
                f"{lot.number} is {own}, and {becomes} has stock without a species. Enter the "
                f"species of {becomes} first, so that a listing stays with the wood."
            )
        else:
            words = (
                f"{lot.number} has no species on record; it can't become {becomes}, which is "
                f"{other}. Enter the species of {lot.material} first."
            )
        super().__init__(words, field="parts")


class ThickerThanItsBoard(Refusal):
    """A part thicker than what it is cut from."""

    def __init__(self, lot: Lot, becomes: Material) -> None:
        super().__init__(f"{becomes} can't be thicker than {lot.number}.", field="parts")


class AskFirst(Refusal):
    """What can be done, but only by somebody who says so after reading `questions`."""

    def __init__(self, questions: Sequence[str]) -> None:
        super().__init__(f"{' '.join(questions)} Confirm the cut if you mean it.", field="sure")
        self.questions = tuple(questions)
