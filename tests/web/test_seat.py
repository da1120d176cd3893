"""The page of a hub that moved says how it sits."""

from collections import Counter


def test_the_page_says_it_before_the_picture_and_no_longer_that_the_arrow_points_up(phone, book):
    kinds = Counter(hub.hub_class for hub in book.site.kit.frame.hubs)
    places = [hub.name for hub in book.site.kit.frame.hubs if hub.hub_class == kinds.most_common(1)[0][0]]
    part = book.site.kit.by_place[places[1]]
    phone.press(f"/place/{places[4]}", f"/other/{places[4]}", part=part.id)
    words = phone.words(f"/P/{part.id}")
    assert f"{part.id} was made for {places[1]}. Here its arm" in words
    assert "the arrow points up the frame" not in words
    assert "was made for" in phone.words(f"/place/{places[4]}")
