"""A tune while it sounds: what is asked for is done, sections and key centers are told as they come."""

from typing import TYPE_CHECKING

import click

from trainer import places, settings
from trainer.commands.at_hand import AtHand, Tune
from trainer.commands.keys_in import SUSPEND, Controls, controls
from trainer.commands.options import PlayOptions
from trainer.commands.reports import told_remark
from trainer.commands.told_playing import Telling, head_lines
from trainer.commands.words import width, wrapped
from trainer.practice.listening_level import begins_at, begins_quiet, factor, within

if TYPE_CHECKING:  # arrays come with it
    from synth.player import Player

LOOK_S = 0.1
"""How often the playhead is looked at, at least."""
SILENT_SOON_S = 0.05
"""A pause has ramped out by then."""

UP_BY_KEY = "Press the up arrow until you hear it well, no louder than quiet talk; it is kept."
UP_BY_WORD = "Type louder until you hear it well, no louder than quiet talk; it is kept. `keyfarer drill` sets it too."


def play_on(player: "Player", tune: Tune, options: PlayOptions, chosen: settings.Settings) -> None:
    """Play a tune to its end, or until it is stopped."""
    output = player.output
    level_db = begins_at(chosen)
    output.volume = factor(level_db)

    def level(by_db: float) -> float:
        nonlocal level_db
        level_db = within(level_db + by_db)
        output.volume = factor(level_db)
        settings.save(places.settings_file(), volume_db=level_db, level_set=True)
        return level_db

    with controls(chosen.plain, in_use=options.file == "-") as asked:
        hand = AtHand(player, tune, level, asked.keyed, round=options.loop)
        if not chosen.level_set:
            _warn(asked)
        if output.remark:
            told_remark(output.remark)
        if not options.quiet:
            for line in head_lines(tune.performance.score, tune.instrument, tune.naming):
                _say(line)
            if asked.keyed:
                _say("  h tells the keys, q stops")
        player.play(tune.performance.score, loop=hand.stretch())
        _follow(player, hand, asked, None if options.quiet else Telling(tune.instrument, tune.naming))


def _say(line: str) -> None:
    """Say a line, in several where the terminal is narrower."""
    columns = width()
    for part in [line] if len(line) <= columns else wrapped(line, columns, later="  "):
        click.echo(part)


def _warn(asked: Controls) -> None:
    """Say once how the level is set, where it never was."""
    words = begins_quiet(UP_BY_KEY if asked.keyed else UP_BY_WORD)
    for line in wrapped(f"keyfarer: {words}", width()):
        click.echo(line, err=True)


def _follow(player: "Player", hand: AtHand, asked: Controls, telling: Telling | None) -> None:
    """Do what is asked for and tell what comes, until the sound has been heard to its end or was stopped."""
    remark = player.output.remark
    while True:
        for what in asked.asked(LOOK_S):
            if what == SUSPEND:
                _suspend(player, asked)
            else:
                for line in hand.asked(what):
                    _say(line)
        if asked.over and player.paused:  # nobody is left who could let it go on
            player.stop()
        at_s = player.playhead_s
        if telling is not None and at_s is not None:
            for line in telling.lines(hand.now.score, at_s):
                _say(line)
        if player.output.remark != remark:
            remark = player.output.remark
            if remark is not None:
                told_remark(remark)
        if player.wait(LOOK_S if asked.over else 0.0):
            return


def _suspend(player: "Player", asked: Controls) -> None:
    """Fall silent, stop as the shell wants it, and go on when it does."""
    was_paused = player.paused
    player.pause()
    player.wait(SILENT_SOON_S)
    asked.suspend()
    if not was_paused:
        player.resume()
