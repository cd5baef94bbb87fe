"""The listening controls beside a sound: what a student may set, as a family may restrict it.

Play, stop, volume and the count of hearings are always there. The rest is offered where it makes sense: parts where there are
several, measures where there are several. A family whose question would be given away names those that it leaves
(`MediaRequest.controls`).
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

#: Name of a control -> what it sets.
CONTROLS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "parts": "which parts sound",
        "measures": "from which to which measure",
        "tempo": "the tempo, at the same pitch",
        "repeat": "whether it begins again by itself",
        "count-in": "one measure of clicks before it",
        "metronome": "a click on each beat",
        "drone": "a held note under it",
        "timbre": "how the notes sound",
        "register": "octaves higher or lower",
    }
)
