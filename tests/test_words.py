"""One word for each act and thing, and none that had to be read twice: pages, phone, papers, API.

Each row of `NOT_SAID` names words that once stood somewhere and were misread, and what to say.
"""

import ast
import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest
from drf_spectacular.generators import SchemaGenerator

APPS = ("inventory", "shop", "quotes")
ROOT = Path(__file__).parent.parent

NOT_SAID = {
    # reserved stock
    r"\bput(s|ting)? aside\b|\bhold anew\b|\blet(s|ting)? go\b": "reserve, release",
    r"\bpromised to\b(?! you| the client)|\btaken for something else\b": "reserved for",
    r"\bis free again\b|\bnobody: free\b": "available",
    # taken back, in one word for each meaning
    r"\b(take|taken|taking|took)( it| this| that| them)? back\b": "reverse, undo",
    r"\b(bring|brought)( it)? back\b|\bback on the shelf\b": "return",
    r"\bcross(ed|ing)? out\b": "void",
    r"\bput(ting)? (\w+ )?right\b|\btyped? wrong\b": "correct",
    r"\btake up again\b|\btook up again\b": "reopen",
    r"\bthrow(n)? away\b|\btake (it |this )?out\b|\bforget it\b": "delete",
    # estimates, templates
    r"\b(set|laid|lay) aside\b": "leave out of estimates",
    r"\bput away\b": "archive",
    r"\bhow far to trust\b|\bwhat it goes by\b|\bgoes? by this\b": "track record, basis",
    r"^half (of builds )?takes? less\b|\benough in \d+\b|\bwhose figures\b": "typical, safe",
    r"\btaken for granted\b|\bin its pattern\b": "assumptions, of this template",
    r"\bbefore these books\b": "before you used Gramil",
    # hours
    r"\bclock(ed|s)? on\b|\bthe clock runs\b|\bnothing runs\b": "start, clock running",
    r"\bmaking again\b|\bcan't be billed\b": "rework, not billable",
    r"\bat large\b": "no stage",
    # stock
    r"\bthe books (say|said|lack|had|have|agree)\b|\bbeyond the books\b": "recorded",
    r"\b(nothing|wood that still) (seasons|settles|lies|waits)\b": "drying, nothing waiting",
    r"\bsisters\b|(?<!CITES )\blisting, as read\b|\bin since\b": "from the same log, CITES listing",
    r"\bmade up here\b|\bstill makeable\b": "kit, can be made",
    r"\bhome money\b|\btheir (money|number)\b|^price of one\b": "currency, unit price",
    r"\bkept by the piece\b|^other paper$": "kept as pieces, document",
    # headings and labels that were misread
    r"\bstands as\b|\bneeds a hand\b|\blost what was held\b": "status, needs attention",
    r"\beverything out\b|\blet somebody in\b|\bwhose shop\b|\bhow i see it\b": "download …, add …",
    r"\bcame in last\b|\bit came to nothing\b|\bin the book\b": "latest, close without sending",
    r"\bspeaks for\b|\banew\b|\blatest start of what is left\b": "signed in as, must start by",
    r"\bleft for an hour\b|\bearns less than nothing\b|\bwhat it risks\b": "earned per hour",
    r"\bnothing here fits\b|\bnumbered so\b|\bby way of\b": "no match",
    # sentences
    r"\bsay (what|why|when|how|which|first|below)\b": "enter, choose",
    r"(?<!there )\b(is|are) no (?!longer\b|more\b|\w+ (yet|left|way)\b)\w+": "is not a",
    r"\bworked out from\b|\bwhat (is|was) it worked out\b": "calculated",
    r"^kept\.$": "Saved.",
    r"\bbeware\b|\bagreed already\b|\bis told so\b": "caution",
}
"""What is not said, as a pattern, and what to say instead."""

ACTS = {
    "every form": "Save Cancel",
    "plain objects": "New Edit Delete Undo Copy Archive Add",
    "lists": "Search Filter Sort Export Previous Next Earlier",
    "stock": "Reserve Release Receive Reconcile Sell Split Downgrade Make Send Settle Write",
    "bench": "Draw Return Scrap Cut Weigh Count",
    "journal": "Reverse Void",
    "hours": "Correct Start Stop Switch Log",
    "stages, builds": "Reopen Close Mark",
    "quotes": "Issue Send Record Revise Offer Withdraw Decline Use Promise",
    "estimates": "Leave Include Estimate",
    "figures": "Calculate Recalculate Compare Apply Update Set Suggest What",
    "sheets, devices": "Load Preview Pair Revoke Download Print Choose Create Continue Open Reload",
    "the phone": "Scan Still Found Not Interruption Stopped No",
    "the way": "Sign Go Keyboard Up Down Taken These I Try",
}
"""What a button begins with. One word for each act: a second one for the same is not added."""

SHOWN_ATTRIBUTES = (
    r"(?:aria-label|title|placeholder|data-label|alt|word|text|caption|do|note|leave)"
)
"""Attributes of HTML, and words that one template hands to another."""


def templates() -> Iterator[Path]:
    for app in APPS:
        yield from sorted((ROOT / app / "templates").rglob("*.html"))
        yield from sorted((ROOT / app / "templates").rglob("*.txt"))


def scripts() -> Iterator[Path]:
    for app in APPS:
        yield from sorted((ROOT / app / "static").rglob("*.js"))


def modules() -> Iterator[Path]:
    for app in APPS:
        for path in sorted((ROOT / app).rglob("*.py")):
            if "migrations" not in path.parts:
                yield path


def of_template(text: str) -> list[str]:
    """What is read of a template: its text, and the attributes that are shown or read out."""
    plain = re.sub(
        r"\{#.*?#\}|\{% comment.*?endcomment %\}|<style.*?</style>", "", text, flags=re.S
    )
    handed = re.findall(rf'\b{SHOWN_ATTRIBUTES}="([^"]*)"', plain)
    defaults = re.findall(r'(?:default|yesno):"([^"]*)"', plain)
    shown = re.sub(r"\{%.*?%\}|<[^>]*>", "\n", re.sub(r"\{\{.*?\}\}", "…", plain))
    return [unescape(words).strip() for words in [*shown.split("\n"), *handed, *defaults]]


def of_script(text: str) -> list[str]:
    code = re.sub(r"/\*.*?\*/|(?<!:)//[^\n]*", "", text, flags=re.S)
    return [found[1:-1] for found in re.findall(r'"[^"\n]*"|`[^`]*`', code)]


TYPED = "making again"
"""Read in a typed line of hours, as many other words are; not shown."""


def of_module(text: str) -> list[str]:
    """String literals of a module, without those that only explain."""
    tree = ast.parse(text)
    bare = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    literals: list[str] = []
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            bare.update(id(part) for part in node.values)
            parts = (one.value if isinstance(one, ast.Constant) else "…" for one in node.values)
            literals.append("".join(map(str, parts)))
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            literals += [] if id(node) in bare else [node.value]
    return [one for one in literals if " " in one.strip() and one != TYPED]


def of_api() -> Iterator[str]:
    """Every description and summary of the API."""
    open_ends = [SchemaGenerator().get_schema(request=None, public=True)]
    while open_ends:
        node = open_ends.pop()
        if isinstance(node, dict):
            open_ends += node.values()
            yield from (v for k, v in node.items() if k in WORDS_OF_API and isinstance(v, str))
        elif isinstance(node, list):
            open_ends += node


WORDS_OF_API = {"description", "summary"}


def everything_shown() -> Iterator[tuple[str, str]]:
    for reader, paths in ((of_template, templates), (of_script, scripts), (of_module, modules)):
        for path in paths():
            where = str(path.relative_to(ROOT))
            yield from ((where, words) for words in reader(path.read_text()))
    yield from (("API", words) for words in of_api())


@pytest.fixture(scope="module")
def shown() -> list[tuple[str, str]]:
    return [(where, re.sub(r"\s+", " ", words)) for where, words in everything_shown()]


@pytest.mark.parametrize("pattern", NOT_SAID, ids=lambda pattern: NOT_SAID[pattern])
def test_nothing_that_is_shown_has_to_be_read_twice(shown, pattern):
    wrong = re.compile(pattern, re.IGNORECASE)
    found = {f"{where}: {words}" for where, words in shown if wrong.search(words)}
    assert found == set()


def test_all_that_is_shown_is_read(shown):
    """The readers would otherwise pass by reading nothing."""
    words = {words for _, words in shown}
    for known in ("Needs attention", "Save", "No clock running", "Enter the time worked."):
        assert known in words
    assert len(shown) > 10_000


BUTTON = re.compile(r"<button\b(?:[^>\"]|\"[^\"]*\")*>(.*?)</button>", re.DOTALL)


def buttons() -> Iterator[tuple[str, str]]:
    """What buttons say: in templates, in forms asked by a page, and on the phone."""
    for path in templates():
        text = re.sub(r'<span class="unseen".*?</span>', "", path.read_text(), flags=re.S)
        said = [one for inside in BUTTON.findall(text) for one in of_template(inside)]
        said += re.findall(r'parts/form\.html"[^%]*?\bdo="([^"]*)"', text)
        yield from ((path.name, one) for one in said if one)
    for path in modules():
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.keyword) and node.arg == "do" and is_text(node.value):
                yield path.name, node.value.value
    for path in scripts():
        yield from (
            (path.name, one) for one in re.findall(r'\bbutton\("([^"]+)"', path.read_text())
        )


def is_text(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def test_a_button_says_one_of_the_known_acts():
    known = {word for words in ACTS.values() for word in words.split()}
    said = {(where, words) for where, words in buttons() if words[:1].isupper()}
    assert len(said) > 100
    assert {pair for pair in said if re.split(r"\W", pair[1])[0] not in known} == set()


def test_hours_are_written_in_one_way():
    """By the tag and the filter of hours, never a decimal with an h behind it."""
    loose = re.compile(r"(floatformat(:\S+)?|plain_decimal) \}\} ?h\b")
    assert [str(path) for path in templates() if loose.search(path.read_text())] == []
