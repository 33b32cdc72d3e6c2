"""What the synthesizer can't do, told in words for the player."""


class SoundError(Exception):
    """Sound that can't be made, written or played: what was asked, why it fails and what would work."""
