"""Answers that are kept: bounded, given to all who ask the same, computed beside answers to other questions."""

import ast
import gc
import threading
import weakref
from pathlib import Path

import pytest
from trees import tree

from fieldapp.base.remembered import remembered

LONG_S = 30.0
ROOT = Path(__file__).resolve().parents[2]


class Thing:
    """Something large that is told apart by being itself."""


def test_no_more_questions_are_kept_than_said_and_the_oldest_goes_first():
    asked = []

    @remembered(2)
    def answer(thing):
        asked.append(id(thing))
        return object()

    things = [Thing() for _ in range(3)]
    kept = [answer(thing) for thing in things]
    assert [answer(things[2]), answer(things[1])] == [kept[2], kept[1]]
    assert len(asked) == 3
    gone = weakref.ref(things[0])
    del things[0]
    gc.collect()
    assert gone() is None
    answer(Thing())
    assert answer(things[0]) is kept[1], "asked last, so kept longest"


def test_who_asks_while_it_is_computed_waits_for_the_same_answer_and_others_do_not_wait():
    begun, go, times = threading.Event(), threading.Event(), []

    @remembered(4, by=lambda word: word.lower())
    def answer(word):
        times.append(word)
        if word == "long":
            begun.set()
            assert go.wait(LONG_S)
        return [word]

    found = []
    phones = [threading.Thread(target=lambda word=word: found.append(answer(word))) for word in ("long", "LONG")]
    phones[0].start()
    assert begun.wait(LONG_S)
    phones[1].start()
    assert answer("short") == ["short"]
    go.set()
    for phone in phones:
        phone.join(LONG_S)
    assert found[0] is found[1]
    assert times == ["long", "short"]


def test_a_question_without_an_answer_is_asked_again():
    times = []

    @remembered(1)
    def answer(number):
        times.append(number)
        if len(times) == 1:
            raise ValueError("not now")
        return number

    with pytest.raises(ValueError, match="not now"):
        answer(7)
    assert [answer(7), answer(7)] == [7, 7]
    assert times == [7, 7]


def test_answers_about_a_kit_a_plan_or_a_log_are_kept_by_remembered_alone():
    """`functools` keeps only what never goes out of date: its questions are words and numbers, or none at all."""
    wrong = [f"{path}:{node.lineno} {node.name}"
             for path in sorted((ROOT / "fieldapp").rglob("*.py"))
             for node in ast.walk(tree(path.read_text(encoding="utf-8"))) if isinstance(node, ast.FunctionDef)
             if any(ast.unparse(mark).split("(")[0] in ("lru_cache", "cache") for mark in node.decorator_list)
             if not all(ast.unparse(arg.annotation) in ("str", "int", "float") for arg in node.args.args)]
    assert not wrong, "keep these answers by base.remembered:\n" + "\n".join(wrong)
