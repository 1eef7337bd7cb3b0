"""Every paper before readers that other people wrote; each test is skipped where its reader is not.

On Debian: qpdf, mupdf-tools, poppler-utils, and libpdfbox2-java with what it needs at run time.
"""

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.quotes.papers.every_paper import SIZES, every_paper, in_country

pytestmark = pytest.mark.django_db

JARS = [
    Path("/usr/share/java", f"{name}.jar")
    for name in (
        "preflight", "pdfbox2", "fontbox2", "xmpbox", "commons-logging", "commons-io",
        "javax.activation", "jaxb-api",
    )
]  # fmt: skip
ONLY_IN_PART_ONE = {
    "1.2.7",  # the metadata may not be compressed
    "1.2.9",  # no file inside
    "1.4",  # no cross-reference streams
    "1.4.7",  # no file inside
    "3.1.3",  # no OpenType letters
    "3.1.11",  # a list of the letters that are in
}
"""What ISO 19005-1 forbids or asks for and 19005-3 does not, from memory: codes of preflight."""

PRINTED = {}


def needs(*tools):
    missing = [tool for tool in tools if not shutil.which(tool)]
    return pytest.mark.skipif(bool(missing), reason=f"{', '.join(missing)} not installed")


@pytest.fixture(params=SIZES)
def papers(request, lettered, tmp_path):
    """Each paper by its name, as a file; in A4 and in Letter, printed once for all readers."""
    country, kept = request.param, {}
    if country not in PRINTED:
        PRINTED[country] = every_paper(in_country(lettered, country))
    for name, printed in PRINTED[country].items():
        kept[name] = tmp_path / f"{name}.pdf"
        kept[name].write_bytes(printed)
    return kept


def said(*command):
    """What a reader answers, its complaints too."""
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    return f"{done.stdout}{done.stderr}"


@needs("qpdf")
def test_qpdf_finds_nothing_wrong_in_their_syntax(papers):
    for name, path in papers.items():
        answer = said("qpdf", "--check", path)
        assert "No syntax or stream encoding errors found" in answer, (name, answer)
        assert "WARNING" not in answer, (name, answer)


@needs("mutool")
def test_mutool_draws_them_without_complaint(papers):
    for name, path in papers.items():
        answer = said("mutool", "draw", "-F", "text", "-o", path.with_suffix(".txt"), path)
        complaints = [
            line
            for line in answer.splitlines()
            if re.search("warning|error", line) and "ICC support is not available" not in line
        ]
        assert (name, complaints) == (name, [])


@needs("pdffonts")
def test_poppler_finds_all_letters_inside_and_copyable(papers):
    for name, path in papers.items():
        fonts = [line.split() for line in said("pdffonts", path).splitlines()[2:]]
        assert fonts, name
        assert {tuple(font[-5:-2]) for font in fonts} == {("yes", "yes", "yes")}, name


@needs("pdfinfo")
def test_poppler_reads_them_in_order_without_what_stands_at_the_foot(papers):
    for name, path in papers.items():
        read = re.findall(r'^ *"(.*)"$', said("pdfinfo", "-struct-text", path), re.MULTILINE)
        assert read[0] in {"Turnip Hollow", "Job card"} or name == "job card", (name, read[:3])
        assert not [words for words in read if words.startswith("Turnip Hollow \u00b7")], name
        assert not [words for words in read if re.fullmatch(r"\d+ / \d+", words)], name


@needs("pdfinfo")
def test_poppler_reads_a_long_specification_line_by_line(papers):
    read = re.findall(r"(\d+)\. Scale", said("pdfinfo", "-struct-text", papers["quote"]))
    assert [int(place) for place in read] == list(range(90))


@needs("java")
@pytest.mark.skipif(not all(jar.exists() for jar in JARS), reason="preflight not installed")
def test_preflight_finds_only_what_part_one_of_the_archive_standard_asks_beyond_part_three(papers):
    for name in ("invoice", "credit note"):
        classes = ":".join(map(str, JARS))
        validator = "org.apache.pdfbox.preflight.Validator_A1b"
        answer = said("java", "-cp", classes, validator, papers[name])
        assert "is not a valid PDF/A-1b file, error(s)" in answer, answer
        codes = set(re.findall(r"^([\d.]+) : ", answer, re.MULTILINE))
        assert codes <= ONLY_IN_PART_ONE, answer


@needs("qpdf", "pdffonts")
def test_the_readers_can_complain(tmp_path):
    broken = tmp_path / "broken.pdf"
    broken.write_bytes(b"%PDF-1.7\n1 0 obj\n<<>>\ntrailer <</Root 1 0 R>>\n%%EOF\n")
    assert "No syntax or stream encoding errors found" not in said("qpdf", "--check", broken)
    assert said("pdffonts", broken).splitlines()[2:] != []
