"""What an item asks to be heard or seen, as sound, notation and pictures."""
