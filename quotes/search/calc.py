"""What was typed, how well a row answers it, and which word may have been meant."""

import re
import unicodedata
from collections.abc import Iterable
from difflib import SequenceMatcher

MOST_TERMS = 6
LONGEST_TERM = 40
SHORTEST_WORD = 4
"""Letters from which a word is kept as one that may be meant by a misspelt one."""

NEAR = 0.65
"""How alike two words are, by matching blocks of letters, to be one misspelt: *common practice,
no source*. One wrong letter of five is 0.8, two swapped letters of five are 0.8."""

EXCERPT = 90
WORD = re.compile(r"[^\W_]+")


def terms_of(typed: str) -> list[str]:
    """Split what was typed into terms with a letter or digit: every one has to be found."""
    plain = "".join(one if one.isprintable() else " " for one in typed)
    terms = [one[:LONGEST_TERM] for one in plain.split() if tokens_of(one)]
    return terms[:MOST_TERMS]


def tokens_of(text: str) -> list[str]:
    """Return the words and numbers of a text as the index holds them: no capitals, no accents."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    return WORD.findall("".join(one for one in apart if not unicodedata.combining(one)))


def named_by(title: str) -> list[str]:
    """Return the tokens of a title; a number also without its zeros, as 412 for T-0412."""
    tokens = tokens_of(title)
    return tokens + [token.lstrip("0") for token in tokens if token[0] == "0" and token.strip("0")]


def words_to_mean(tokens: Iterable[str]) -> set[str]:
    """Return the tokens that a misspelt word may mean: words, not numbers."""
    return {token for token in tokens if len(token) >= SHORTEST_WORD and token.isalpha()}


def rank(title: str, terms: list[str]) -> int:
    """Return how well a title answers, 0 the best.

    The whole title, or a number that it begins with; its beginning; words of it; not in the title.
    """
    low, typed = title.casefold(), " ".join(terms).casefold()
    first = low.split(" ", 1)[0]
    if typed == low or (typed == first and any(one.isdigit() for one in first)):
        return 0
    if low.startswith(typed):
        return 1
    tokens, wanted = named_by(title), tokens_of(typed)
    return 2 if all(any(one.startswith(part) for one in tokens) for part in wanted) else 3


def pairs_of(term: str) -> list[str]:
    """Return every two letters that follow one another in a term, each once."""
    return sorted({term[at : at + 2] for at in range(len(term) - 1)})


def nearest_word(term: str, words: Iterable[str]) -> str:
    """Return the word that `term` may be misspelt of, or an empty text."""
    alike = {word: SequenceMatcher(None, term, word).ratio() for word in words}
    best = max(sorted(alike), key=lambda word: alike[word], default="")
    return best if best and alike[best] >= NEAR else ""


def excerpt(words: str, terms: list[str]) -> str:
    """Return the part of `words` around the first term in it, or its beginning."""
    low = words.casefold()
    places = [at for at in (low.find(term.casefold()) for term in terms) if at >= 0]
    start = max(0, min(places, default=0) - EXCERPT // 3)
    part = words[start : start + EXCERPT]
    before = "… " if start else ""
    return f"{before}{part.strip()}{' …' if start + EXCERPT < len(words) else ''}"
