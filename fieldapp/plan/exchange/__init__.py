"""Exchanging a broken hub or strut in a frame that stands: worked out before anything moves (P24).

`exchange` answers for the frame as it stands; where it cannot be, `way_back` says how far the strike goes first.
"""

from fieldapp.plan.exchange.back import WayBack, way_back
from fieldapp.plan.exchange.course import exchange
from fieldapp.plan.exchange.record import Between, ExchangeCase, ExchangeOrder, ExchangeTick, HandHold

__all__ = ["Between", "ExchangeCase", "ExchangeOrder", "ExchangeTick", "HandHold", "WayBack", "exchange", "way_back"]
