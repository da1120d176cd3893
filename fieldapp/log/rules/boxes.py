"""Rules for who has which box in the open inspection round."""

from fieldapp.log.entry import Refusal, refuse
from fieldapp.log.kinds import BoxData
from fieldapp.log.rules.terms import Admitted, Asked, clock_words


def box_taken(asked: Asked, data: BoxData) -> Admitted | Refusal:
    """Any box by any number of people, each of whom has one at a time."""
    current = asked.state.open_round
    if current is None:
        return _no_round(data)
    own = [held for held in current.boxes if held.holder == asked.holder and held.box == data.box]
    if own:
        return refuse("have_it", "box '{box}' is yours already (since {time}).", "Scan what is in it.", box=data.box,
                      time=clock_words(own[0].since, asked.now))
    return Admitted(data=BoxData(box=data.box))


def box_given_back(asked: Asked, data: BoxData) -> Admitted | Refusal:
    """One's own; the chief gives back for whoever forgot to."""
    current = asked.state.open_round
    if current is None:
        return _no_round(data)
    holders = {held.holder for held in current.boxes if held.box == data.box}
    if not holders:
        return refuse("nobody_has_it", "nobody has box '{box}'.", "Nothing more to do.", box=data.box)
    if asked.holder not in holders and not asked.request.chief:
        return refuse("not_yours", "box '{box}' is not yours: {who} took it.",
                      "Ask them, or the chief, to give it back.", box=data.box,
                      who=", ".join(current.holders(data.box)))
    return Admitted(data=BoxData(box=data.box, everyone=asked.holder not in holders))


def _no_round(data: BoxData) -> Refusal:
    return refuse("no_round", "no inspection round is open, so nobody has box '{box}'.",
                  "Ask the chief to open a round.", box=data.box)
