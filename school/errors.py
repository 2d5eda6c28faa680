"""Refusals that are nobody's mistake in a field."""


class Overtaken(Exception):  # noqa: N818  (said to the reader as it is, not an error of the program)
    """Somebody else wrote first. `sentence` says what changed; nothing of the later write was kept."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence
