"""The page of a hub that moved says how it sits."""

from collections import Counter

from click.testing import CliRunner

from fieldapp.cli import labels
from fieldapp.kit.file import write_kit


def test_the_page_says_it_before_the_picture_and_no_longer_that_the_arrow_points_up(phone, book):
    kinds = Counter(hub.hub_class for hub in book.site.kit.frame.hubs)
    places = [hub.name for hub in book.site.kit.frame.hubs if hub.hub_class == kinds.most_common(1)[0][0]]
    part = book.site.kit.by_place[places[1]]
    phone.press(f"/place/{places[4]}", f"/other/{places[4]}", part=part.id)
    words = phone.words(f"/P/{part.id}")
    assert f"{part.id} was made for {places[1]}. Here its arm" in words
    assert "the arrow points up the frame" not in words
    assert "was made for" in phone.words(f"/place/{places[4]}")


def test_the_command_that_prints_labels_names_parts_that_have_moved(phone, book, tmp_path):
    kit = book.site.kit
    write_kit(tmp_path, kit)
    first, other = [place.name for place in kit.frame.struts if place.strut_class == "D"][:2]
    part, still = kit.by_place[first], kit.by_place[other]
    phone.press(f"/place/{other}", f"/other/{other}", part=part.id)
    moved = run_labels(tmp_path, part.id)
    assert f"Note: {part.id} goes to {other} now, and its label says {first}" in moved.stderr
    assert still.id not in moved.stderr
    assert "goes to" not in run_labels(tmp_path, "H61").stderr


def run_labels(folder, *ids):
    result = CliRunner().invoke(labels, [str(folder), *ids, "--out", str(folder / "again.pdf")])
    assert result.exit_code == 0, result.output
    return result
