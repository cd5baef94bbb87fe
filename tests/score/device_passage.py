"""Short passages in ABC for the tests on devices, and what is found in them."""

from musictheory_nb.score.load import load_score


def piece_of(*voices, metre="4/4", unit="1/4", key="C"):
    """A piece whose voices are texts of bars, the upper one first."""
    text = "".join(f'V:{at} name="Voice {at}"\n{bars}\n' for at, bars in enumerate(voices, start=1))
    return load_score(f"X:1\nM:{metre}\nL:{unit}\nK:{key}\n{text}".encode(), cache=False)


def found(piece, *names):
    """The findings of these names."""
    return [one for one in piece.devices() if one.name in names]
