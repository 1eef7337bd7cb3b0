"""What the program says when it declines: a class with data, a sentence a maker can act on."""


class Refusal(Exception):
    """A request that can't be done, told in one sentence that says what is wrong and what to do.

    `field` names the input the sentence belongs to, or is empty when it belongs to the whole.
    """

    def __init__(self, sentence: str, *, field: str = "") -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.field = field
