"""A plan for practising the hard spots of a fingered line slowly (`practice_plan`).

The way is that of the trade (common practice, no source): the spot alone, out of time; then in time, so slow that every
move has half a second; a little faster each time that it comes right three times running; then with the notes around
it; then the whole line.
"""

from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from musictheory_nb.errors import InstrumentError
from musictheory_nb.instrument.fingering import FingeredNote, Fingering
from musictheory_nb.instrument.hard_spot import HardSpot, counted

#: What is said with every plan.
STRAIN_CAUTION: Final = (
    "Playing should not hurt. Warm up, keep the hand loose, and rest often. Stop at pain, numbness, tingling or "
    "cramp, and do not play through it: ask your teacher, and if it stays or returns, a doctor or another health "
    "professional. Fingerings here are proposals; your teacher, who sees your hand, knows better."
)
#: Seconds that each move has at the slowest tempo.
SLOW_SECONDS: Final = 0.5
#: Times running that a spot comes right before it goes faster.
TIMES_RIGHT: Final = 3
#: The tempo is raised in so many steps from the slowest to the tempo of the line.
_TEMPO_STEPS: Final = 5
#: Slowest and fastest start, as parts of the tempo of the line; and no tempo below this many quarters a minute.
_SLOWEST_START: Final = 0.25
_FASTEST_START: Final = 0.6
_LEAST_TEMPO: Final = 20
#: Notes before and after a spot that are played with it.
_AROUND: Final = 3


@dataclass(frozen=True, slots=True)
class PracticeStep:
    """One thing to do.

    Parameters
    ----------
    what : str
        In words.
    first, last : int
        Indices in the line, from 0, of what is played.
    tempo : int
        In quarters a minute; 0 for out of time.
    times : int
        How many times running it comes right before going on.
    """

    what: str
    first: int
    last: int
    tempo: int
    times: int


@dataclass(frozen=True, slots=True)
class SpotPlan:
    """How to practise one spot."""

    spot: HardSpot
    steps: tuple[PracticeStep, ...]


@dataclass(frozen=True, slots=True)
class PracticePlan:
    """A plan for a line: spot by spot, then the whole; with the caution about strain."""

    spots: tuple[SpotPlan, ...]
    whole: tuple[PracticeStep, ...]
    caution: str = STRAIN_CAUTION

    def describe(self) -> str:
        """Plan in words, the caution first.

        Examples
        --------
        >>> from musictheory_nb.instrument.fingering import finger_line
        >>> text = practice_plan(finger_line("F1 Eb4", "1/4", "bass guitar", tempo=120)).describe()
        >>> text.startswith("Playing should not hurt."), "Spot 1, notes 1 to 2" in text
        (True, True)
        """
        lines = [self.caution]
        for number, plan in enumerate(self.spots, 1):
            lines.append(
                f"Spot {number}, notes {plan.spot.first + 1} to {plan.spot.last + 1}: {'; '.join(plan.spot.reasons)}."
            )
            lines += [f"- {step.what}" for step in plan.steps]
        lines.append("The whole line:" if self.spots else "No spot is marked as hard. The whole line:")
        lines += [f"- {step.what}" for step in self.whole]
        return "\n".join(lines)


def practice_plan(fingering: Fingering, most_spots: int = 5) -> PracticePlan:
    """Plan the practice of a fingered line: its hardest spots slowly, then the whole.

    Parameters
    ----------
    most_spots : int
        How many spots at most, the hardest of them; in the order of the line.

    Raises
    ------
    InstrumentError
        `most_spots` is not a whole number from 1 up.

    Examples
    --------
    >>> from musictheory_nb.instrument.fingering import finger_line
    >>> plan = practice_plan(finger_line("F1 Eb4", "1/4", "bass guitar", tempo=120))
    >>> [step.tempo for step in plan.spots[0].steps]
    [0, 30, 48, 66, 84, 102, 120, 120]
    >>> practice_plan(finger_line("F1 G1"), most_spots=0)
    Traceback (most recent call last):
    musictheory_nb.errors.InstrumentError: most_spots 0: must be a whole number from 1 up
    """
    if isinstance(most_spots, bool) or not isinstance(most_spots, int) or most_spots < 1:
        raise InstrumentError(f"most_spots {most_spots!r}: must be a whole number from 1 up")
    hardest = sorted(fingering.hard_spots, key=lambda spot: (-spot.cost, spot.first))[:most_spots]
    plans = tuple(_spot_plan(spot, fingering) for spot in sorted(hardest, key=lambda spot: spot.first))
    first, last = fingering.notes[0].index, fingering.notes[-1].index
    tempos = _tempos(fingering.notes, fingering.tempo)
    whole = tuple(
        PracticeStep(f"All of it at {tempo} quarters a minute, {_times()}.", first, last, tempo, TIMES_RIGHT)
        for tempo in (tempos[0], tempos[-1])
    )
    return PracticePlan(plans, whole if tempos[0] != tempos[-1] else whole[:1])


def _spot_plan(spot: HardSpot, fingering: Fingering) -> SpotPlan:
    inside = [note for note in fingering.notes if spot.first <= note.index <= spot.last]
    around = [note.index for note in fingering.notes if spot.first - _AROUND <= note.index <= spot.last + _AROUND]
    names = " ".join(note.pitch.display for note in inside)
    steps = [
        PracticeStep(
            f"{names} out of time: stop each note, let the hand go where it must before you sound it, and listen to the pitch.",
            spot.first,
            spot.last,
            0,
            TIMES_RIGHT,
        )
    ]
    steps += [
        PracticeStep(f"In time at {tempo} quarters a minute, {_times()}.", spot.first, spot.last, tempo, TIMES_RIGHT)
        for tempo in _tempos(inside, fingering.tempo)
    ]
    steps.append(
        PracticeStep(
            f"With what lies around it, notes {around[0] + 1} to {around[-1] + 1}, at {steps[-1].tempo} quarters a minute.",
            around[0],
            around[-1],
            steps[-1].tempo,
            TIMES_RIGHT,
        )
    )
    return SpotPlan(spot, tuple(steps))


def _times() -> str:
    return f"until it comes right {counted(TIMES_RIGHT, 'time')} running"


def _tempos(notes: "list[FingeredNote] | tuple[FingeredNote, ...]", tempo: float) -> tuple[int, ...]:
    """Tempos from slow to that of the line, in quarters a minute."""
    shortest = min((after.seconds for _, after in pairwise(notes)), default=SLOW_SECONDS)
    part = min(_FASTEST_START, max(_SLOWEST_START, shortest / SLOW_SECONDS))
    slow = min(tempo, max(_LEAST_TEMPO, tempo * part))
    ladder = (slow + (tempo - slow) * step / _TEMPO_STEPS for step in range(_TEMPO_STEPS + 1))
    return tuple(dict.fromkeys(max(1, round(value)) for value in ladder))
