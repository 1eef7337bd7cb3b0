"""How the frameworks would put it: what no page and no answer of the API says."""

import re

FRAMEWORK = re.compile(
    r"This (field|value|selection|dictionary) |Ensure (this|that) "
    r"|Enter (a (valid|whole|number|list|complete)|only|the same) "
    r"|Select a (valid|lookup)|[Nn]ot a valid |A valid \w+ is|Must be a valid|already exists"
    r"|Incorrect type|Invalid |Expected |has wrong format|ManagementForm|No file was"
    r"|Please (submit|correct|enter|either)|must make a unique set|is violated"
)
COMPLAINTS = re.compile(r'<ul class="errorlist.*?</ul>|<div class="refusal.*?</div>', re.DOTALL)
TAGS = re.compile(r"<[^>]+>|\s+")


def complaints(html):
    """Return what a page complains of, box by box and field by field."""
    return [TAGS.sub(" ", found).strip() for found in COMPLAINTS.findall(html)]


def framework_sentences(html):
    """Return what a page complains of in a framework's words."""
    return [words for words in complaints(html) if FRAMEWORK.search(words)]
