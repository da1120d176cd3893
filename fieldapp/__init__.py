"""Raisebook: the site book of a frame made of hubs and struts.

The rooms, in reading order; each imports only from the ones before it:

base      units, constants, materials, errors
photos    unpacking photos, in a process apart
frame     the shape: design file, dome, level base, classes, hub arms
identify  a heap of measured parts: what frame it may be
statics   stiffness, mechanisms, loads, capacities
kit       part IDs, parts, cut lengths, stock cutting, interchange
plan      order of erection, stages, holds
log       what happened: entries, rules, state, the database
reports   progress, pace, readiness, history
prints    turns kit and plan into the plain records that `labels` draws
web       the pages that phones see
cli       the `raisebook` command
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
"""Stages are small systems: threads of the linear algebra library waiting for each other cost ten times what they
save as soon as the machine does anything else. Must be set before numpy is loaded."""

__version__ = "0.1.0"
