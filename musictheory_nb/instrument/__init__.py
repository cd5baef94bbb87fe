"""What an instrument can play, how it is written, and how a line lies under the hand."""
