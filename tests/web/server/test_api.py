"""The same as JSON."""

from flask.testing import FlaskClient

from fieldapp.kit.kit import Kit
from fieldapp.log.book import SiteBook
from fieldapp.plan.plan import Plan


def send(phone: FlaskClient, *entries: object) -> list[dict[str, object]]:
    answer = phone.post("/api/entries", json={"entries": list(entries)})
    assert answer.status_code == 200
    return answer.json["answers"]


def test_a_part_says_place_headline_and_state(phone: FlaskClient, kit: Kit) -> None:
    part = kit.by_place["S073"]
    said = phone.get(f"/api/parts/{part.id}.1").json
    strut = kit.frame.strut("S073")
    assert said["id"] == part.id
    assert said["place"]["name"] == "S073"
    assert said["place"]["headline"] == (f"The end in your hand (lower end) into arm {strut.end_1.arm} of "
                                         f"{strut.end_1.hub}")
    assert said["status"]["waits_for"]
    assert said["fitted_at"] is None


def test_an_unknown_part_is_answered_in_json(phone: FlaskClient) -> None:
    answer = phone.get("/api/parts/OH-S703")
    assert answer.status_code == 404
    assert answer.json["error"] == "No such part here"


def test_state_costs_nothing_when_nothing_changed(phone: FlaskClient, kit: Kit, plan: Plan) -> None:
    first = phone.get("/api/state")
    tag = first.headers["ETag"]
    assert phone.get("/api/state", headers={"If-None-Match": tag}).status_code == 304
    hub = plan.steps[0].hub
    send(phone, {"key": "k" * 22, "kind": "fitted", "part": kit.by_place[hub].id})
    after = phone.get("/api/state", headers={"If-None-Match": tag})
    assert after.status_code == 200
    assert after.json["fitted"] == {hub: kit.by_place[hub].id}
    assert after.json["last_number"] == 1


def test_since_gives_only_what_came_after(phone: FlaskClient, kit: Kit, plan: Plan) -> None:
    for number, step in enumerate(plan.steps[:3]):
        send(phone, {"key": f"{number:022d}", "kind": "fitted", "part": kit.by_place[step.hub].id})
    after = phone.get("/api/state?since=2").json
    assert [entry["place"] for entry in after["entries"]] == [plan.steps[2].hub]
    assert "allocation" not in after


def test_entries_are_answered_one_by_one_and_count_once(phone: FlaskClient, kit: Kit, plan: Plan,
                                                        book: SiteBook) -> None:
    good = {"key": "a" * 22, "kind": "fitted", "part": kit.by_place[plan.steps[0].hub].id,
            "sent_at": "2026-09-12T12:01:00+02:00"}
    answers = send(phone, good, good, {"key": "short"}, 7, {**good, "key": "b" * 22, "sent_at": "yesterday"},
                   {**good, "key": "c" * 22})
    assert [answer["kept"] for answer in answers] == [True, True, False, False, False, False]
    assert answers[0]["entry"] == answers[1]["entry"]
    assert answers[0]["entry"]["sent_at"] == "2026-09-12T10:01:00+00:00"
    assert answers[4]["message"] == "sent_at must be a time like 2026-09-12T10:14:00Z, got yesterday"
    assert answers[5]["code"] == "already_fitted"
    assert book.last_number == 1


def test_a_body_of_another_form_is_refused_as_a_whole(phone: FlaskClient) -> None:
    answer = phone.post("/api/entries", json=[1, 2])
    assert answer.status_code == 400
    assert 'the body must be {"entries": [...]}' in answer.json["message"]
    many = phone.post("/api/entries", json={"entries": [{}] * 201})
    assert "at most 200 entries at once, got 201" in many.json["message"]


def test_a_poll_late_in_the_log_still_gets_only_what_came_after(phone: FlaskClient, kit: Kit, plan: Plan) -> None:
    part = kit.by_place[plan.steps[0].hub].id
    kinds = ("missing", "found")
    for first in range(0, 1200, 200):
        send(phone, *({"key": f"{number:022d}", "kind": kinds[number % 2], "part": part}
                      for number in range(first, first + 200)))
    late = phone.get("/api/state?since=1199")
    assert [entry["number"] for entry in late.json["entries"]] == [1200]
    assert len(late.data) < 2 * len(phone.get("/api/state?since=1200").data)


def test_a_poll_in_another_language_is_another_answer(phone: FlaskClient) -> None:
    german, english = (phone.get("/api/state?since=0", headers={"Accept-Language": code}) for code in ("de", "en"))
    assert german.headers["ETag"] != english.headers["ETag"]
    assert german.json["rings"] != english.json["rings"]
