"""Small MusicXML documents for the tests, written by hand from the MusicXML 4.0 schema."""

HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'


def note(step: str = "C4", quarters: int = 1, more: str = "", first: str = "", voice: int = 1) -> str:
    """A note of so many quarters at 4 divisions; `first` stands before the pitch, `more` after the voice."""
    name, octave = step[:-1], step[-1]
    alter = {"#": 1, "b": -1}.get(name[1:], 0)
    pitch = f"<pitch><step>{name[0]}</step><alter>{alter}</alter><octave>{octave}</octave></pitch>"
    return f"<note>{first}{pitch}<duration>{4 * quarters}</duration>{more}<voice>{voice}</voice></note>"


def rest(quarters: int, whole: bool = False) -> str:
    """A rest; with `whole` the rest of a whole measure."""
    sign = '<rest measure="yes"/>' if whole else "<rest/>"
    return f"<note>{sign}<duration>{4 * quarters}</duration><voice>1</voice></note>"


def attributes(beats: str = "4", kind: int = 4, fifths: int = 0, more: str = "") -> str:
    """Attributes of a first measure."""
    time = f"<time><beats>{beats}</beats><beat-type>{kind}</beat-type></time>" if beats else ""
    return f"<attributes><divisions>4</divisions><key><fifths>{fifths}</fifths></key>{time}{more}</attributes>"


def measure(content: str, number: str | int = "", implicit: bool = False) -> str:
    """A measure."""
    sign = ' implicit="yes"' if implicit else ""
    return f'<measure number="{number}"{sign}>{content}</measure>'


def barline(where: str, inside: str) -> str:
    """A barline at the left or right."""
    return f'<barline location="{where}">{inside}</barline>'


def begin(number: str | int) -> str:
    """The left barline that begins an ending."""
    return barline("left", f'<ending number="{number}" type="start"/>')


def stop(number: str | int, again: bool = False) -> str:
    """The right barline that stops an ending, with a repeat sign or not."""
    sign = '<repeat direction="backward"/>' if again else ""
    return barline("right", f'<ending number="{number}" type="stop"/>{sign}')


OPEN = barline("left", '<repeat direction="forward"/>')
CLOSE = barline("right", '<repeat direction="backward"/>')


def words(text: str, sound: str = "") -> str:
    """Words above the staff, with a sound element of these attributes or without."""
    told = f"<sound {sound}/>" if sound else ""
    return f"<direction><direction-type><words>{text}</words></direction-type>{told}</direction>"


def sign(name: str, sound: str = "") -> str:
    """A segno or coda."""
    told = f"<sound {sound}/>" if sound else ""
    return f"<direction><direction-type><{name}/></direction-type>{told}</direction>"


def harmony(root: str, kind: str = "major", more: str = "") -> str:
    """A chord symbol."""
    alter = {"#": 1, "b": -1}.get(root[1:], 0)
    return (
        f"<harmony><root><root-step>{root[0]}</root-step><root-alter>{alter}</root-alter></root>"
        f"<kind>{kind}</kind>{more}</harmony>"
    )


def score(*parts: str | list[str], names: list[str] | None = None) -> bytes:
    """A part-wise score; each part is a list of measures or their text."""
    named = names or [f"Part {n}" for n in range(1, len(parts) + 1)]
    listed = "".join(
        f'<score-part id="P{n}"><part-name>{name}</part-name></score-part>' for n, name in enumerate(named, 1)
    )
    music = "".join(f'<part id="P{n}">{"".join(part)}</part>' for n, part in enumerate(parts, 1))
    text = f'{HEAD}<score-partwise version="4.0"><part-list>{listed}</part-list>{music}</score-partwise>'
    return text.encode("utf-8")


def tune(*bars: str, beats: str = "4") -> bytes:
    """A one-part score of whole-note bars numbered from 1; each bar's text may hold ``{}`` for its note, G A B ... by bar.

    The note of bar n (from 1) is the n-th of C4 D4 E4 F4 G4 A4 B4 C5 D5 E5 F5 G5 A5 B5.
    """
    pitches = [f"{letter}{octave}" for octave in (4, 5, 6) for letter in "CDEFGAB"]
    made = []
    for place, bar in enumerate(bars):
        own = bar if "{}" in bar else bar + "{}"
        text = own.replace("{}", note(pitches[place], int(beats)))
        made.append(measure((attributes(beats) if place == 0 else "") + text, place + 1))
    return score(made)
