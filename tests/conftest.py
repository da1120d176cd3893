"""What all tests share: what is asked for, what is made once, kit folders, the real server in a process of its own."""

import gc
import os
from itertools import islice
from pathlib import Path

import flask
import judged_once
import pytest
from filelock import FileLock
from jinja2 import BytecodeCache
from laptops import Laptop, Phone, QuickLaptop
from small_frame import SPARES, small_design
from werkzeug.routing import Rule

from fieldapp.base.words import speak
from fieldapp.demo.first_raise import tell_first_raise
from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame.design import RaisingSection
from fieldapp.frame.template import design_text
from fieldapp.kit import build_kit
from fieldapp.kit.checklist_defaults import default_checks, write_checks
from fieldapp.kit.file import made_kit, write_kit
from fieldapp.log.book import SiteBook
from fieldapp.log.rules import Setting
from fieldapp.plan.order import level_order

judged_once.share()


@pytest.fixture
def names_left(monkeypatch):
    """Call it for the folders whose names changed since they were forced to the disk last."""
    left, replace, fsync = set(), os.replace, os.fsync

    def noting(old, new):
        replace(old, new)
        left.add(Path(new).parent)

    def forcing(handle):
        there = os.fstat(handle)
        left.difference_update([path for path in left if path.exists() and os.path.samestat(path.stat(), there)])
        fsync(handle)

    monkeypatch.setattr(os, "replace", noting)
    monkeypatch.setattr(os, "fsync", forcing)
    return lambda: {path for path in left if path.exists()}


@pytest.fixture(autouse=True)
def _in_english():
    """Whoever asks for a page leaves their language behind; the fixtures of the next file shall not hear it."""
    speak(None)
    yield
    speak(None)


class Compiled(BytecodeCache):
    """Templates that some application of this process has compiled already; each test makes one of its own."""

    def __init__(self):
        self.found = {}

    def load_bytecode(self, bucket):
        if bucket.key + bucket.checksum in self.found:
            bucket.bytecode_from_string(self.found[bucket.key + bucket.checksum])

    def dump_bytecode(self, bucket):
        self.found[bucket.key + bucket.checksum] = bucket.bytecode_to_string()


BUILDERS = {}


class BuiltOnce(Rule):
    """Addresses whose builders some application of this process has compiled already: most of what making one takes."""

    def _compile_builder(self, append_unknown=True):
        question = self.rule, tuple(self._trace), repr(self.defaults), append_unknown
        if question not in BUILDERS:
            BUILDERS[question] = super()._compile_builder(append_unknown)
        return BUILDERS[question]


flask.Flask.jinja_options = {**flask.Flask.jinja_options, "bytecode_cache": Compiled()}
flask.Flask.url_rule_class = BuiltOnce


LONGEST = {"test_whole_kit_inspected.py", "test_day.py"}


ASKED_FOR = ("bench", "thorough")


def pytest_collection_modifyitems(config, items):
    """Measurements and what is held at length run where they are asked for, whichever other marker is asked for."""
    absent = [mark for mark in ASKED_FOR if mark not in config.option.markexpr]
    left_out = [item for item in items if any(map(item.get_closest_marker, absent))]
    if left_out:
        items[:] = [item for item in items if not any(map(item.get_closest_marker, absent))]
        config.hook.pytest_deselected(items=left_out)
    items.sort(key=lambda item: item.path.name not in LONGEST)     # first, so that no worker is left alone with them


@pytest.hookimpl(trylast=True)
def pytest_collection_finish(session):
    """What was read so far, modules and their tests, is not gone through again with every large collection."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 50)


@pytest.fixture(scope="session")
def made_once(tmp_path_factory):
    """Call it with a name and what writes a folder: the first worker that asks writes it, all others find it there."""
    shared = tmp_path_factory.getbasetemp()
    if os.environ.get("PYTEST_XDIST_WORKER"):
        shared = shared.parent

    def found(name, write):
        with FileLock(shared / f"{name}.lock"):
            if not (shared / name).exists():
                write(shared / f"{name} half made")
                (shared / f"{name} half made").rename(shared / name)
        return shared / name

    return found


@pytest.fixture(scope="session", autouse=True)
def _ways_judged_once(made_once, request):
    """No way of raising is judged twice in a run, whichever test or worker asks again."""
    if "bench" not in request.config.option.markexpr:
        judged_once.keep_in(made_once("judged", Path.mkdir))


@pytest.fixture(scope="session")
def first_raise(made_once):
    """The demo's setting, and its log with a first raise and half an inspection, to be copied."""
    design = orchard_hall()
    kit = build_kit(design)
    setting = Setting(kit, level_order(kit.frame, design), default_checks(design))

    def write(folder):
        folder.mkdir()
        with SiteBook.open(setting.kit, setting.plan, folder / "log.sqlite", checklist=setting.checklist) as book:
            tell_first_raise(book)

    return setting, made_once("first raise", write) / "log.sqlite"


@pytest.fixture(scope="session")
def first_answer_only():
    """Call it with a monkeypatch: of what the whole frame forgives only its first answer is worked out."""
    from fieldapp.web.raising import forgives

    steps = forgives._steps
    return lambda patch: patch.setattr(forgives, "_steps", lambda kit, plan: islice(steps(kit, plan), 1))


@pytest.fixture(scope="session")
def small_ways():
    """Call it with a monkeypatch: ways that pages list are those of the small frame, which other tests judge too."""
    from fieldapp.web.raising import course

    judged, kit = course._judged, build_kit(small_design())
    return lambda patch: patch.setattr(course, "_judged", lambda _kit: judged(kit))


@pytest.fixture
def few_losses(first_answer_only, monkeypatch):
    """The same for one test: where that page is one of many."""
    first_answer_only(monkeypatch)


@pytest.fixture(scope="module")
def kit_folder(tmp_path_factory):
    """A small kit with spares: 26 hubs and 65 struts to be fitted, no paper."""
    folder = tmp_path_factory.mktemp("day") / "orchard-hall"
    folder.mkdir()
    design = small_design(spares=SPARES, raising=RaisingSection(way="ring by ring"))
    (folder / "design.toml").write_text(design_text(design), encoding="utf-8")
    write_kit(folder, made_kit(folder, design).kit)
    write_checks(folder, design)
    return folder


@pytest.fixture(scope="module")
def laptop_class(request):
    return Laptop if "bench" in request.config.option.markexpr else QuickLaptop


@pytest.fixture(scope="module")
def phone_class():
    return Phone
