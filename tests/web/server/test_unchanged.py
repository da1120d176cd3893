"""A poll that was answered with 304 is answered so again without the pages, until something is written."""

from fieldapp.web.server import unchanged
from fieldapp.web.server.security import STRANGE_HOST

POLL = {"REQUEST_METHOD": "GET", "PATH_INFO": "/api/state", "QUERY_STRING": "since=3", "HTTP_IF_NONE_MATCH": '"3"',
        "HTTP_HOST": "10.0.0.1:8000", "HTTP_COOKIE": "phone=a"}


class Book:
    """What is asked of a book."""

    state, halt = object(), None


class Pages:
    """Pages that count how often they were asked."""

    asked, status, more = 0, "304 NOT MODIFIED", ()

    def __call__(self, environ, start):
        self.asked += 1
        start(self.status, [("ETag", environ["HTTP_IF_NONE_MATCH"]), *self.more])
        return [b""]


def test_only_what_cannot_have_changed_is_answered_from_what_was_kept(monkeypatch):
    now, book, pages = [100.0], Book(), Pages()
    monkeypatch.setattr(unchanged.time, "monotonic", lambda: now[0])
    door, answers = unchanged.Unchanged(pages, book), []

    def asks(**others):
        before = pages.asked
        list(door({**POLL, **others}, lambda status, headers: answers.append((status, tuple(headers)))))
        return pages.asked - before

    assert [asks(), asks(), asks()] == [1, 0, 0]
    assert answers[0] == answers[2] == ("304 NOT MODIFIED", (("ETag", '"3"'),))
    for other in ({"HTTP_COOKIE": "phone=b"}, {"QUERY_STRING": "since=2"}, {"HTTP_ACCEPT_LANGUAGE": "nl"},
                  {STRANGE_HOST: True}, {"PATH_INFO": "/p/H22"}):
        assert asks(**other) == 1
    book.state = object()       # an entry
    assert [asks(), asks()] == [1, 0]
    book.halt = object()        # the log takes nothing
    assert [asks(), asks()] == [1, 0]
    now[0] += unchanged.GOOD_FOR_S
    assert [asks(), asks()] == [1, 0]
    book.state, pages.status = object(), "200 OK"
    assert [asks(), asks()] == [1, 1]
    pages.status, pages.more = "304 NOT MODIFIED", (("Set-Cookie", "phone=c"),)
    assert [asks(), asks()] == [1, 1]
