"""What is computed beside the pages: one worker, the newest question of a subject, nothing begun in vain."""

import gc
import threading
import weakref
from pathlib import Path

import pytest

from fieldapp.web.common.beside import Beside

LONG_S = 30.0
ROOT = Path(__file__).resolve().parents[3]


class Held:
    """Work that waits until it is let go, and counts how often it was begun."""

    def __init__(self, answer):
        self.answer, self.begun, self.go = answer, threading.Semaphore(0), threading.Event()
        self.times = 0

    def __call__(self):
        self.times += 1
        self.begun.release()
        assert self.go.wait(LONG_S)
        return self.answer


@pytest.fixture
def busy():
    """A worker that is held up by its first question."""
    worker, first = Beside(), Held("first")
    worker.begun("ways", 1, first)
    assert first.begun.acquire(timeout=LONG_S)
    yield worker, first
    first.go.set()


def test_all_who_ask_the_same_share_one_answer_and_nobody_waits_longer_than_they_said(busy):
    worker, first = busy
    assert worker.answer("ways", 1, first, patience_s=0.0) is None
    assert worker.known("ways", 1) is None
    first.go.set()
    assert worker.answer("ways", 1, first, patience_s=LONG_S) == "first"
    assert worker.known("ways", 1) == "first"
    assert worker.known("ways", 2) is None
    assert first.times == 1


def test_a_question_that_is_out_of_date_is_not_begun_and_not_kept(busy):
    worker, first = busy
    old = [Held(number) for number in range(50)]
    told = [worker.begun("readiness", number, work) for number, work in enumerate(old)]
    gone = [weakref.ref(work) for work in old[:-1]]
    newest = old[-1]
    del old
    gc.collect()
    assert not any(ref() for ref in gone), "fifty entries, one question waits"
    newest.go.set()
    first.go.set()
    assert worker.answer("readiness", 49, newest, patience_s=LONG_S) == 49
    assert [answer.cancelled() for answer in told] == [True] * 49 + [False]


def test_subjects_are_answered_one_after_the_other_in_the_order_they_were_asked(busy):
    worker, first = busy
    order = []
    answers = [worker.begun(name, 0, lambda name=name: order.append((name, threading.active_count())))
               for name in ("readiness", "first page", "sheet")]
    threads = threading.active_count()
    first.go.set()
    for answer in answers:
        answer.result(LONG_S)
    assert order == [("readiness", threads), ("first page", threads), ("sheet", threads)]


def test_what_fails_is_told_to_everybody_who_asks_and_the_worker_goes_on():
    worker = Beside()

    def fails():
        raise ValueError("no answer")

    for _ in range(2):
        with pytest.raises(ValueError, match="no answer"):
            worker.answer("ways", 1, fails, patience_s=LONG_S)
    assert worker.known("ways", 1) is None
    assert worker.answer("ways", 2, lambda: "better", patience_s=LONG_S) == "better"


def test_nothing_else_computes_answers_in_a_thread_of_its_own():
    """Others have one for the network (listeners, TLS, announcement, browser) the disk (log, stick) or the store."""
    threads = {str(path.relative_to(ROOT)): path.read_text(encoding="utf-8").count(" threading.Thread(")
               for path in (ROOT / "fieldapp").rglob("*.py")}
    assert {path: count for path, count in threads.items() if count} == {
        "fieldapp/cli_site.py": 1, "fieldapp/web/server/tls.py": 1,
        "fieldapp/log/settling.py": 1, "fieldapp/log/stick.py": 1, "fieldapp/log/shared/follow.py": 1,
        "fieldapp/web/common/beside.py": 1,
        "fieldapp/web/server/https.py": 1, "fieldapp/web/server/serve.py": 1}
