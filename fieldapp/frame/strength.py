"""[strength] of the design file: whether anybody knows what the parts bear, and break tests of struts."""

from typing import Literal

from fieldapp.frame.questions import DesignSection, PositiveNumber, ask

WhatIsKnown = Literal["known", "unknown"]


class StrengthSection(DesignSection):
    """[strength]: old parts bear nothing that could be told before some of them were broken."""

    struts: WhatIsKnown = ask(
        "known", "Is it known what the struts bear: new ones, graded or with a maker's sheet? Old ones of which nobody "
        "knows are \"unknown\" until some were broken.", "Write \"unknown\" for poles that lay in a shed for years.")
    hubs: WhatIsKnown = ask(
        "known", "… and the arms of the hubs? They are \"unknown\" until hub.test_loads_n lists break tests.",
        "Write \"unknown\" for hubs that nobody made for this frame.")
    strut_span_mm: float | None = ask(
        None, "Break tests of struts: how far apart were the two supports, the load hanging in the middle? [mm]",
        "Measure between the supports.", example=1000.0, gt=0.0, le=20000.0)
    strut_loads_n: tuple[PositiveNumber, ...] = ask(
        (), "Break tests of struts: at which loads did they break or fold? [N] (1 kg hangs with 9.81 N) Break the ones "
        "that look worst, three or more, and never use them again.",
        "List one number above zero for each strut you broke, for example [820, 760, 905].", example=[820, 760, 905])
