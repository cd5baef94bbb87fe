"""An item: one question as a student meets it, with its key and its explanation."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field

from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.plain_data import JSON, thawed
from musictheory_nb.practice.response import Response


@dataclass(frozen=True)
class Mark:
    """What an answer is worth: `score` from 0 to 1, and `why` in one or two plain sentences.

    Where `awaits_teacher`, a teacher marks the answer: the score is 0 only because there is none yet.
    """

    score: float
    why: str
    awaits_teacher: bool = False

    def __post_init__(self) -> None:
        if not 0.0 <= self.score <= 1.0:
            raise ValueError(f"score {self.score!r}: give a number from 0 to 1")


@dataclass(frozen=True)
class Item:
    """One question.

    Parameters
    ----------
    exercise : str
        Id of its exercise.
    index : int
        From 0.
    prompt : str
        The question in words.
    media : tuple of MediaRequest
        What is heard and seen, when asked and when answered.
    response : Response
        What the student does.
    key : Mapping
        The right answer as data; its shape is the family's own.
    explain : str
        Why the right answer is right, in words; shown after the answer.
    solution : Mapping
        What the inputs show as right after the answer: ``{step id: {input id: list of right values}}``. A choice lists
        every accepted value; keys and sections give one right answer. Inputs that are left out show none.
    twin : tuple of MediaRequest
        What takes the place of the sound for a student who cannot hear: notation, shown without its text, which would
        name the notes. Empty where all that sounds is seen, too.
    twin_text : str
        What takes the place of the notation for a student who cannot see: what is written, read aloud, and nothing
        that the question asks for. Empty where all that is seen sounds, too.
    """

    exercise: str
    index: int
    prompt: str
    media: tuple[MediaRequest, ...]
    response: Response
    key: Mapping[str, JSON]
    explain: str
    solution: Mapping[str, Mapping[str, JSON]] = field(default_factory=dict)
    twin: tuple[MediaRequest, ...] = ()
    twin_text: str = ""

    def shown(self, moment: str) -> tuple[MediaRequest, ...]:
        """Return the media of that moment: ``'asked'`` or ``'answered'``."""
        return tuple(request for request in self.media if request.moment == moment)

    def to_data(self) -> dict[str, JSON]:
        """Return JSON values for golden files and reports (excerpts by digest)."""
        data: dict[str, JSON] = thawed(
            {
                "exercise": self.exercise,
                "index": self.index,
                "prompt": self.prompt,
                "media": [request.to_data() for request in self.media],
                "response": asdict(self.response),
                "key": self.key,
                "explain": self.explain,
                "solution": self.solution,
                "twin": [request.to_data() for request in self.twin],
                "twin_text": self.twin_text,
            }
        )
        return data
