"""Sound, notation and pictures: what an item asks to be heard or seen, rendered.

Everything is computed where it is asked for: no sound bank, no font from the network, no program to install. Import
from the concept modules: ``musictheory_nb.media.sound``, ``.engraving``, ``.score_text``, ``.marks_picture``.
"""
