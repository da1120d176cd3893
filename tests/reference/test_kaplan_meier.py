"""Survival against the most printed example of the Kaplan-Meier estimate.

Freireich et al., Blood 21, 1963: weeks of remission of 21 patients under 6-mercaptopurine, as tabulated in most
handbooks of survival analysis (from memory). Printed to 3 decimals.
"""

import pytest

from fieldapp.reports.readiness.survival import share_whole

ENDED = (6, 6, 6, 7, 10, 13, 16, 22, 23)
GOING_ON = (6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35)
PRINTED = ((6, 0.857), (7, 0.807), (10, 0.753), (13, 0.690), (16, 0.627), (22, 0.538), (23, 0.448))


def test_share_after_each_event():
    found = share_whole([*ENDED, *GOING_ON], [True] * len(ENDED) + [False] * len(GOING_ON))
    assert [time for time, _ in found] == [time for time, _ in PRINTED]
    assert [share for _, share in found] == pytest.approx([share for _, share in PRINTED], abs=5e-4)


def test_taking_all_as_ended_would_not_give_these():
    found = dict(share_whole([*ENDED, *GOING_ON], [True] * 21))
    assert found[23] != pytest.approx(0.448, abs=0.05)
