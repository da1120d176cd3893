"""What the rules say of wind: gusts as gusts, signs as means of ten minutes."""

from fieldapp.base.constants import BEAUFORT_BEGINS_M_S, ON_LADDERS_M_S
from fieldapp.statics.wind import gust_ratio
from fieldapp.wording.site_rules import wind_rule


def test_a_sign_does_not_tell_crews_to_wait_for_gusts_of_half_as_much_again():
    """Ladders: gusts of 8.0 m/s. Small trees sway at a mean of 8.0, with gusts of 13.6: too late by far."""
    said = wind_rule(None, "II")
    assert "small trees" not in said
    assert "leave at 8.0 m/s, as a wind meter at the frame shows them" in said
    assert "leave when leaves and thin twigs never rest" in said      # Beaufort 3
    assert BEAUFORT_BEGINS_M_S[3] * gust_ratio("II") < ON_LADDERS_M_S[1] < BEAUFORT_BEGINS_M_S[5] * gust_ratio("II")
    assert "mean of ten minutes; gusts are up to 1.8 times as strong" in said


def test_a_frame_that_bears_little_lowers_speed_and_sign():
    assert "leave when you feel the wind on your face" in wind_rule(6.0, "II")
    assert "make ready when any wind stirs, leave when smoke drifts" in wind_rule(2.0, "II")
    assert "make ready when any wind stirs, leave when any wind stirs" in wind_rule(0.5, "II")
