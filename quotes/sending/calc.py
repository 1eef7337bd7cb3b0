"""The words around a paper, and the message as it goes out."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """What is proposed to be written with a paper: the maker changes it before anything goes."""

    subject: str
    text: str


def letter(client: str, sentences: Sequence[str], maker: str, workshop: str) -> str:
    """Return a short letter, a paragraph for each sentence."""
    return "\n\n".join([f"Dear {client},", *sentences, f"{maker}\n{workshop}"])


def with_link(text: str, address: str, until: str) -> str:
    """Return the text as it goes out, the link and its last day below it."""
    return f"{text.rstrip()}\n\n{address}\n(opens until {until})\n" if address else text
