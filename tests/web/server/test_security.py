"""What the server refuses: strange hosts, writes from other sites, hostile text; and what it sends along."""

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fieldapp.kit.kit import Kit
from fieldapp.log.book import SiteBook
from fieldapp.web.server.security import comes_from_here, host_is_ours


@pytest.mark.parametrize(("host", "ours"), [
    ("10.0.0.1:8000", True), ("[fe80::1]:8000", True), ("localhost", True), ("raisebook.local:8000", True),
    ("barn.lan", True), ("site.internal", True), ("kit.test:8000", True), ("evil.example", False),
    ("10.0.0.1.evil.example", False), ("lan", False), ("", False), ("a b", False), ("x" * 300, False),
])
def test_only_names_that_no_foreign_page_can_point_here_are_answered(host: str, ours: bool) -> None:
    assert host_is_ours(host, {"kit.test"}) is ours


def test_a_strange_host_gets_no_page(phone: FlaskClient) -> None:
    answer = phone.get("/", headers={"Host": "evil.example"})
    assert answer.status_code == 421
    assert "Use the address on the poster." in phone.words(answer)


@pytest.mark.parametrize(("origin", "referer", "taken"), [
    ("http://10.0.0.1:8000", None, True), (None, "http://10.0.0.1:8000/P/X", True), (None, None, True),
    ("http://evil.example", None, False), ("null", None, False), ("http://10.0.0.1", None, False),
    (None, "http://evil.example/10.0.0.1:8000", False), ("http://[", None, False),
])
def test_writes_come_from_our_own_pages(origin: str | None, referer: str | None, taken: bool) -> None:
    assert comes_from_here(origin, referer, "10.0.0.1:8000") is taken


def test_another_sites_page_cannot_write(phone: FlaskClient, kit: Kit, book: SiteBook) -> None:
    part = kit.parts[0].id
    for path in (f"/P/{part}/fitted", f"/damage/{part}", "/me", "/photo", "/api/entries"):
        for headers in ({"Origin": "http://evil.example"}, {"Origin": "null"},
                        {"Referer": "http://evil.example/page"}):
            answer = phone.post(path, data={"key": "k" * 22}, headers=headers)
            assert (answer.status_code, book.last_number) == (403, 0), (path, headers)


def test_every_answer_carries_the_policy_and_sane_cookies(phone: FlaskClient) -> None:
    for path in ("/", "/P/S073", "/nothing", "/api/state", f"{phone.application.static_url_path}/page.css"):
        answer = phone.get(path)
        assert answer.headers["Content-Security-Policy"].startswith("default-src 'self';")
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
    cookie = phone.application.test_client().get("/").headers["Set-Cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Lax" in cookie
    assert "Secure" not in cookie


HOSTILE = st.one_of(
    st.text(max_size=80), st.text(alphabet="OHS0123456789-._ /%", max_size=40), st.binary(max_size=40).map(repr),
    st.sampled_from(["..", "%00", "%ff%fe", "OH-S073-C'--", "<script>alert(1)</script>", "S" + "9" * 290, "S٣٣",
                     "OH-S073-C.9", "{{7*7}}", "%2e%2e%2f", "𝟗" * 60, "H" * 5000]))


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=HOSTILE, path=st.sampled_from(["/P/{}", "/p/{}.1", "/place/{}", "/ring/{}", "/find?q={}", "/damage/{}",
                                           "/api/parts/{}", "/log?skip={}", "/?done={}", "/log/{}/withdraw",
                                           "/api/state?since={}", "/place/H01?part={}"]))
def test_hostile_text_is_never_a_fault(phone: FlaskClient, text: str, path: str) -> None:
    from urllib.parse import quote

    answer = phone.get(path.format(quote(text, safe="%", errors="replace")))
    assert answer.status_code < 500
    assert "<script>" not in answer.text


JSON = st.recursive(st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
                    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(
                        st.sampled_from(["entries", "key", "kind", "part", "place", "who", "sent_at", "data"]), inner,
                        max_size=6), max_leaves=12)


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(body=JSON)
def test_hostile_json_is_never_a_fault_and_never_an_entry(phone: FlaskClient, book: SiteBook, body: object) -> None:
    for sent in (body, {"entries": [body]}):
        assert phone.post("/api/entries", json=sent).status_code < 500
    assert book.last_number == 0


ODD_HOSTS = ("a" * 64 + ".local", "..local", ".local", "a..lan", "[", "[::1", "\u00ff\u00fe", "10.0.0.1:",
             "10.0.0.1:99999999", "localhost:1,localhost:2", "-.lan", "x" * 300 + ".lan", "%00", "@")


def test_odd_hosts_are_refused_in_words(phone: FlaskClient) -> None:
    for host in ODD_HOSTS:
        for method in ("GET", "POST"):
            answer = phone.open("/me", method=method, headers={"Host": host})
            assert answer.status_code == 421, (host, method)
            assert "Use the address on the poster." in phone.words(answer)


def test_json_beyond_all_reason_is_not_understood(phone: FlaskClient, book: SiteBook) -> None:
    for body in ("[" * 100_000, '{"a":' * 50_000, '{"entries":' + "[" * 5_000 + "]" * 5_000 + "}", "9" * 5_000,
                 "\ud800"):
        sent = body.encode("utf-8", "surrogatepass")
        answer = phone.post("/api/entries", data=sent, content_type="application/json")
        assert (answer.status_code, answer.json["error"]) == (400, "That was not understood"), body[:20]
        assert book.last_number == 0
