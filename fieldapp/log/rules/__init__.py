"""Which requests become entries: `decide` is pure, and knows neither clock nor database."""

from fieldapp.log.rules.decide import decide, prepare
from fieldapp.log.rules.terms import Finding, Fitness, Setting, is_to_begin

__all__ = ["Finding", "Fitness", "Setting", "decide", "is_to_begin", "prepare"]
