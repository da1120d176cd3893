"""A gust that was read is written down; what no wind has is asked for again; beyond the limit every page says so."""

from fieldapp.web.board.wind import gust_of


def test_units():
    # 36 km/h = 10 m/s exactly, since 1 h = 3600 s: SI Brochure (9th ed.), table 8.
    assert (gust_of("36", "km/h"), gust_of("10", "m/s"), gust_of("10", "knots")) == (10.0, 10.0, None)


def test_what_no_wind_has_is_asked_for_again_with_what_was_typed(phone, book):
    answer = phone.press("/wind", "/wind", gust="740", unit="m/s")
    assert (answer.status_code, book.last_number) == (422, 0)
    assert "“740” is none. Read it again." in phone.words(answer)
    assert 'value="740"' in answer.text


def test_beyond_the_limit_every_page_says_so_until_a_lower_gust_is_read(phone, other_phone, raised):
    raised(17)
    assert "now. From where?" in phone.words("/")
    phone.press("/wind", "/wind", gust="60", unit="m/s")
    assert "now. From where?" not in phone.words("/")        # who is to go away is not told to hold
    for path in ("/", "/find", "/place/H01", "/me"):
        assert "Gust of 60.0 m/s (10:14): everybody away from the frame, now." in other_phone.words(path), path
    phone.press("/wind", "/wind", gust="0", unit="m/s")
    assert "Gust of" not in other_phone.words("/find")
