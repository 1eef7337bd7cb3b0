"""Finding builds, stages, reasons and people by the words that a maker types for them."""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

FILLERS = frozenset({"and", "at", "for", "in", "my", "of", "on", "the", "to", "with"})
SHORTEST_PART = 3
"""A word may be cut short to this many letters; shorter ones must be written whole."""

_ENDINGS = ("ings", "ing", "ed", "es", "s", "e")


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """Something that can be named: the caller's key, its name, other names, its batch if any.

    A stage may say by the keys of `builds` which of them have it.
    """

    key: str
    name: str
    aliases: tuple[str, ...] = ()
    batch: str = ""
    builds: frozenset[str] = frozenset()


def find_known(phrase: str, known: Sequence[Known]) -> list[Known]:
    """Return those of `known` that `phrase` names, or may name by parts of words.

    A full name or alias comes before names that only contain the words. `Binding`, `bindings` and
    `bind` are one word.
    """
    words = words_of(phrase)
    if not words:
        return []
    exact = [one for one in known if any(words == words_of(name) for name in _names(one))]
    return exact or [one for one in known if _mentions(one, words)]


def find_group(phrase: str, builds: Sequence[Known]) -> tuple[str, ...] | None:
    """Return the keys meant by `both`, `both bouzoukis`, `all four`, `all` or `batch`, else None.

    Raises ValueError with a sentence when such a word fits no group of builds, or several.
    """
    head, rest = _group_words(words_of(phrase))
    if not head:
        return None
    asked = [one for one in builds if not rest or _mentions(one, rest)]
    if rest and not asked:
        return None
    if head == "all":
        return tuple(one.key for one in asked)
    return _one_group(phrase, head, asked)


def words_of(text: str) -> tuple[str, ...]:
    """Return the plain words of `text` without fillers, cut to their stems."""
    plain = unicodedata.normalize("NFKD", text).casefold()
    letters = "".join(one for one in plain if not unicodedata.combining(one))
    words = re.findall(r"[^\W_]+", letters)
    return tuple(_stem(word) for word in words if word not in FILLERS)


def listed(known: Sequence[Known], last: str = "or") -> str:
    """Return the names as `A, B or C`."""
    names = [one.name for one in known]
    return f" {last} ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def _stem(word: str) -> str:
    for ending in _ENDINGS:
        if word.endswith(ending) and len(word) - len(ending) >= SHORTEST_PART:
            word = word.removesuffix(ending)
            break
    doubled = len(word) > SHORTEST_PART and word[-1] == word[-2] and word.isalpha()
    return word[:-1] if doubled else word


def _names(one: Known) -> tuple[str, ...]:
    return (one.name, *one.aliases)


def _mentions(one: Known, words: Sequence[str]) -> bool:
    """Say whether each of `words` is, or begins, a word of one of the names."""
    said = {word for name in _names(one) for word in (*words_of(name), *_joined(name))}
    return all(
        word in said
        or (len(word) >= SHORTEST_PART and any(other.startswith(word) for other in said))
        for word in words
    )


def _joined(name: str) -> tuple[str, ...]:
    """Return the words of `name` with hyphens left out, for `setup` and `m027`."""
    return words_of(name.replace("-", ""))


def _group_words(words: Sequence[str]) -> tuple[str | int, tuple[str, ...]]:
    """Split `words` into what says how many (a number, `all`, `batch` or nothing) and the rest."""
    numbers = words_of("two three four five six")
    match tuple(words):
        case ("both", *rest):
            return 2, tuple(rest)
        case ("all", number, *rest) if number in numbers:
            return numbers.index(number) + 2, tuple(rest)
        case ("all" | "batch" as head, *rest):
            return head, tuple(rest)
    return "", ()


def _one_group(phrase: str, head: str | int, asked: Sequence[Known]) -> tuple[str, ...]:
    batches = [
        [one for one in asked if one.batch == name]
        for name in dict.fromkeys(one.batch for one in asked if one.batch)
    ]
    fitting = [group for group in batches if len(group) == head or head == "batch"]
    if not fitting and len(asked) == head:
        fitting = [list(asked)]
    if len(fitting) == 1:
        return tuple(one.key for one in fitting[0])
    choice = "several batches fit" if fitting else "no open batch fits"
    raise ValueError(f"“{phrase}” is not clear: {choice}. Name the builds one by one.")
