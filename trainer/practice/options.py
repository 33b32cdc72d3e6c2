"""What a session was asked for, as values."""

from trainer.records import dataclass


@dataclass(frozen=True, slots=True)
class DrillOptions:
    """Options of `keyfarer drill`."""

    plain: bool = False
    """Lines of text in place of the terminal app."""
    to: str | None = None
    """A folder that questions are written to in place of being asked."""
    seed: int | None = None
    count: int | None = None
    types: tuple[str, ...] = ()
    kinds: tuple[str, ...] = ()
    rung: int | None = None
    minutes: int | None = None
    tunes: tuple[str, ...] = ()
    """Ids of the tunes that questions are to come from; none are all."""
    answers: bool = False
    """Written questions sound with their answers, after a pause."""
    pause: float | None = None
    """Seconds of that pause; None is as long as each question needs. Given, it asks for answers too."""
    flac: bool = False
    """FLAC in place of WAV."""
    yes: bool = False
    """Write over other questions in the folder."""

    keys: tuple[str, ...] = ()
    """Keys of written questions, in words; empty is any."""
    tempo: float | None = None
    """Quarter notes a minute of written questions; None is each rung's and tune's own."""
    title: str = ""
    """What a set of written questions is called."""
    note: str = ""
    """The teacher's word to whom the questions are for."""

    @property
    def only_written(self) -> str:
        """The first option that is of use with `to` alone; empty where there is none."""
        given = {"--answers": self.answers, "--pause": self.pause is not None, "--flac": self.flac, "--yes": self.yes,
                 "--key": bool(self.keys), "--tempo": self.tempo is not None, "--title": bool(self.title),
                 "--note": bool(self.note)}  # fmt: skip
        return next((name for name, asked in given.items() if asked), "")

    @property
    def chooses(self) -> bool:
        """Whether the player fixed what is asked, so that today's plan is left alone."""
        return bool(self.types or self.kinds or self.rung or self.count or self.tunes)

    @property
    def with_own_tunes(self) -> bool:
        """Whether questions may come from the player's tunes.

        Where a seed is to ask the same again, only if they are named, else it would ask something else as soon as
        another tune is kept. Today's plan is another one each day anyway.
        """
        return self.seed is None or not self.chooses or bool(self.tunes or self.routes)

    @property
    def routes(self) -> tuple[str, ...]:
        """Ids of the tunes whose routes were asked for."""
        from trainer.drills.units import ROUTE

        return tuple(unit.removeprefix(ROUTE) for unit in self.types if unit.startswith(ROUTE))
