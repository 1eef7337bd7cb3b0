import subprocess
import sys

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from shop.launch import requirements as module
from shop.launch.requirements import ROOT


def test_every_requirement_is_written_so_that_it_can_be_checked():
    for requirement in module.requirements(tests=True):
        module.is_installed(requirement)


def test_without_what_reads_requirements_nothing_counts_as_installed(monkeypatch):
    monkeypatch.setitem(sys.modules, "packaging.requirements", None)
    assert not module.is_installed("Django>=2")


def test_what_runs_these_tests_has_all_that_is_needed():
    assert module.all_installed(module.requirements(tests=True))


@pytest.mark.parametrize(
    "requirement", ["no-such-library>=1", "Django>=99", "Django<2"], ids=["none", "old", "new"]
)
def test_a_missing_or_unfit_library_is_noticed(requirement):
    assert not module.all_installed(["Django>=2", requirement])


def test_tests_need_more_than_running():
    running = module.requirements()
    assert set(running) < set(module.requirements(tests=True))
    assert not [line for line in running if line.startswith("pytest")]


def test_every_library_has_a_tested_version_that_fits():
    pinned = [Requirement(line) for line in module.CONSTRAINTS.read_text().splitlines()]
    versions = {canonicalize_name(one.name): next(iter(one.specifier)).version for one in pinned}
    for text in module.requirements(tests=True):
        asked = Requirement(text)
        assert asked.specifier.contains(versions[canonicalize_name(asked.name)], prereleases=True)


def test_the_fingerprint_follows_the_list():
    assert module.fingerprint(["a>=1"]) == module.fingerprint(["a>=1"])
    assert module.fingerprint(["a>=1"]) != module.fingerprint(["a>=2"])


def test_the_launcher_imports_nothing_but_the_standard_library():
    names = [f"shop.launch.{path.stem}" for path in (ROOT / "shop/launch").glob("[!_]*.py")]
    statement = f"import sys; sys.path.insert(0, {str(ROOT)!r}); import {', '.join(names)}"
    alone = [sys.executable, "-I", "-S", "-c", statement]
    assert len(names) > 5
    assert subprocess.run(alone, check=False).returncode == 0


def test_what_several_machines_need_is_asked_for_by_their_settings(monkeypatch):
    alone = module.requirements()
    monkeypatch.setenv("GRAMIL_MEDIA", "s3://books")
    more = set(module.requirements()) - set(alone)
    assert {"boto3", "django-storages[s3]"} <= {one.partition(">")[0] for one in more}
