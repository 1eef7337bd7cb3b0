"""What the look of papers declines."""

from inventory.base.refusals import Refusal


class NoColour(Refusal):
    """It isn't a colour that a browser or a printer knows."""

    def __init__(self, colour: str) -> None:
        super().__init__(
            f"“{colour}” is not a colour. Enter # and six hexadecimal digits, such as #1d4e5f.",
            field="accent",
        )


class TooPale(Refusal):
    """Letters of this colour are hard to read on white."""

    def __init__(self, colour: str) -> None:
        super().__init__(
            f"{colour} is too pale to read on white. Choose a darker colour.", field="accent"
        )
