"""Pages that are served to phones have the next moments judged beside them, once for each entry."""

from threading import Event

from fieldapp.web.cards import foreseen


def test_after_a_page_the_next_moments_are_judged_once_for_each_entry(app, phone, raised, monkeypatch):
    seen, there = [], Event()

    def foresee(_site, state, *, is_now):
        seen.append((len(state.fitted), is_now()))
        there.set()

    monkeypatch.setattr(foreseen, "foresee_next", foresee)
    phone.get("/log")
    assert not seen, "only where phones are served"
    app.config[foreseen.FORESEES] = True
    for _ in range(2):
        phone.get("/log")
    assert there.wait(20)
    there.clear()
    raised(1)
    phone.get("/api/state")
    phone.get("/log")
    assert there.wait(20)
    assert [fitted for fitted, _ in seen] == [0, 1]
    assert all(now for _, now in seen)
