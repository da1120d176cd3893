"""What the log of an adopted kit says: codes that open parts, lengths, what is to be made; no inspection."""

from collections import Counter
from datetime import UTC, datetime

import pytest
from old_poles import BAR, old_design, old_heap_text

from fieldapp.adopt.adoption import adoption
from fieldapp.adopt.folder import _write_log
from fieldapp.identify.heap_file import read_heap
from fieldapp.kit.checklist_defaults import default_checks
from fieldapp.log.codes import carried, parts_with_code
from fieldapp.log.opening import logged_state
from fieldapp.plan.plan import Insertion
from fieldapp.prints.pocket.places import id_index
from fieldapp.prints.sheets.containers import box_labels, bundle_labels
from fieldapp.prints.sheets.labels import part_labels
from fieldapp.reports.inspection.again import checked_parts
from fieldapp.reports.parts.own_numbers import part_strengths
from fieldapp.wording.raising import strut_row


@pytest.fixture(scope="module")
def adopted(tmp_path_factory):
    folder = tmp_path_factory.mktemp("shed")
    (folder / "heap.csv").write_text(old_heap_text(), encoding="utf-8")
    found = adoption(read_heap(folder / "heap.csv"), old_design())
    _write_log(folder, found.kit, found, datetime(2026, 3, 1, 9, 0, tzinfo=UTC))
    return found, logged_state(folder, found.kit)


def test_marks_open_parts_and_what_is_to_be_made_is_missing(adopted):
    found, state = adopted
    [part] = parts_with_code(state, "r 3")
    assert state.part(part).alias == "R3, red"
    assert parts_with_code(state, BAR) == parts_with_code(state, "L7")
    assert len(parts_with_code(state, "red")) == 31
    missing = {part for part, past in state.parts.items() if past.missing}
    assert missing == {part.id for part in found.to_make}
    assert not state.clashes
    assert not checked_parts(state)


def test_lengths_that_were_measured_count_in_the_statics(adopted):
    found, state = adopted
    off = part_strengths(state, default_checks(found.kit.design))
    measured = [one for one in found.adopted if one.piece.length_mm is not None]
    assert len(measured) == 59
    for one in measured:
        assert off[one.part].off_mm == pytest.approx(one.piece.row.length_mm - found.kit.part(one.part).cut_length_mm)
    assert Counter(bool(each.off_mm) for each in off.values())[True] == 59


def test_labels_only_for_what_has_none_and_marks_beside_the_others(adopted):
    found, _state = adopted
    labels = [label for label in part_labels(found.kit) if not label.tags]
    own = {part.id for part in found.kit.parts if part.own_mark}
    assert not own & {label.headline for label in labels}
    assert {label.headline for label in labels} == {part.id for part in found.kit.parts} - own
    piled = next(part for part in found.kit.parts if part.alias == "red")
    assert all(label.lines[-1] == "carries: red" for label in labels if label.headline == piled.id)
    again = part_labels(found.kit, [next(iter(sorted(own)))])
    assert again[0].lines[-1].startswith("carries: ")
    assert len([label for label in part_labels(found.kit) if label.tags]) == 26


def test_what_parts_carried_stands_beside_their_id_on_every_list(adopted):
    found, state = adopted
    kit = found.kit
    part = kit.part(parts_with_code(state, "R3")[0])
    listed = f"{part.id} (R3, red)"
    assert any(listed in label.contents for label in (*bundle_labels(kit), *box_labels(kit)))
    row = strut_row(kit, Insertion(part.made_for, "H01", 1, 1))
    assert (row.part_id, row.carries) == (part.id, "R3, red")
    index = id_index(kit, {place: one.id for place, one in kit.by_place.items()})
    assert index["marks"]["R3"] == [part.made_for]
    assert len(index["marks"]["RED"]) == 31
    own = parts_with_code(state, BAR)[0]
    assert carried(state, own) == f"L7, blue, {BAR}"
