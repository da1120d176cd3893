"""Small answers: packed where the phone takes it, empty where it has the page, whole where packing could tell on it."""

import gzip

from flask.testing import FlaskClient

GZIP = {"Accept-Encoding": "br, gzip;q=0.8"}


def test_a_page_is_packed_for_whoever_takes_it_and_reads_the_same(phone: FlaskClient) -> None:
    plain, packed = phone.get("/ring/1"), phone.get("/ring/1", headers=GZIP)
    assert gzip.decompress(packed.data) == plain.data
    assert len(packed.data) < len(plain.data) / 2
    assert (packed.headers["Content-Encoding"], packed.headers["Vary"]) == ("gzip", "Accept-Encoding")
    assert packed.content_length == len(packed.data)
    refusing = phone.get("/ring/1", headers={"Accept-Encoding": "gzip;q=0"})
    assert "Content-Encoding" not in refusing.headers


def test_a_page_that_the_phone_has_already_is_not_sent_again(phone: FlaskClient) -> None:
    for headers in ({}, GZIP):
        tag = phone.get("/ring/1", headers=headers).headers["ETag"]
        again = phone.get("/ring/1", headers={**headers, "If-None-Match": tag})
        assert (again.status_code, again.data) == (304, b"")
    poll = phone.get("/api/state", headers=GZIP)
    assert phone.get("/api/state", headers={**GZIP, "If-None-Match": poll.headers["ETag"]}).status_code == 304


def test_a_page_with_a_key_is_never_taken_from_the_phones_memory(phone: FlaskClient) -> None:
    """A key counts once: two presses of one page that came twice would count as one."""
    page = "/damage/S073"
    tag = phone.get(page).headers["ETag"]
    assert phone.get(page, headers={"If-None-Match": tag}).status_code == 200


def test_over_https_only_files_that_are_the_same_for_all_are_packed(phone: FlaskClient) -> None:
    secure = "https://localhost"
    assert "Content-Encoding" not in phone.get("/find?q=", headers=GZIP, base_url=secure).headers
    sheet = phone.get(f"{phone.application.static_url_path}/page.css", headers=GZIP, base_url=secure)
    assert sheet.headers["Content-Encoding"] == "gzip"
