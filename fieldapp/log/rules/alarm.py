"""Rules for stopping and for wind: anybody may stop, the chief alone lets go on."""

from fieldapp.log.entry import Refusal, refuse
from fieldapp.log.fields import NoData
from fieldapp.log.kinds_alarm import StopData, StopSeenData, WindReadData
from fieldapp.log.rules.terms import Admitted, Asked


def stopped(asked: Asked, data: StopData) -> Admitted | Refusal:
    """At any time; once is enough."""
    stop = asked.state.stop
    if stop is not None:
        return refuse("stopped_already", "building is stopped already ({said}).",
                      "Shout or whistle, and press that you have seen it.", said=asked.when_and_who(stop.key))
    return Admitted(data=data)


def stop_seen(asked: Asked, data: StopSeenData) -> Admitted | Refusal:
    """Of the stop that is on."""
    stop = asked.state.stop
    if stop is None or stop.key != data.stop:
        return refuse("stop_over", "that stop is over.", "Look at the page again.")
    if asked.holder in stop.holders:
        return refuse("seen_already", "you have said so already.", "Nothing more to do.")
    return Admitted(data=data)


def stop_lifted(asked: Asked, data: NoData) -> Admitted | Refusal:
    """The chief's."""
    if asked.state.stop is None:
        return refuse("not_stopped", "nobody has stopped building.", "Nothing more to do.")
    return Admitted(data=data)


def wind_read(asked: Asked, data: WindReadData) -> Admitted | Refusal:
    """At any time."""
    return Admitted(data=data)
