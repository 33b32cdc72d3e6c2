"""The model of the player as text and back, exactly: reading what was written gives an equal model."""

import json
from datetime import date
from typing import Any

from trainer.memory.chance import Climbs, Model, Part, Standing


def write_model(model: Model) -> str:
    """The model as one line of JSON; numbers keep every bit."""
    return json.dumps(
        {
            "day_ends_hour": model.day_ends_hour,
            "player": model.player,
            "units": [[unit, *part] for unit, part in model.units.items()],
            "kinds": [[kind, *part] for kind, part in model.kinds.items()],
            "pairs": [[*pair, *part] for pair, part in model.pairs.items()],
            "steps": [[rung, *part] for rung, part in model.steps.items()],
            "standings": [
                [*pair, standing.rung, standing.day.isoformat(), standing.right, standing.trials]
                for pair, standing in model.standings.items()
            ],
            "met": [[unit, day.isoformat()] for unit, day in model.met.items()],
            "recent": model.recent,
            "trials": model.trials,
            "highest": [[unit, rung] for unit, rung in model.highest.items()],
            "climbs": model.climbs,
            "forgetting": model.forgetting,
        },
        separators=(",", ":"),
        ensure_ascii=False,
    )


def read_model(text: str) -> Model:
    """The model that `write_model` wrote."""
    raw: dict[str, Any] = json.loads(text)
    return Model(
        day_ends_hour=raw["day_ends_hour"],
        player=Part(*raw["player"]),
        units={unit: Part(*part) for unit, *part in raw["units"]},
        kinds={kind: Part(*part) for kind, *part in raw["kinds"]},
        pairs={(unit, kind): Part(*part) for unit, kind, *part in raw["pairs"]},
        steps={rung: Part(*part) for rung, *part in raw["steps"]},
        standings={
            (unit, kind): Standing(rung, date.fromisoformat(day), right, trials)
            for unit, kind, rung, day, right, trials in raw["standings"]
        },
        met={unit: date.fromisoformat(day) for unit, day in raw["met"]},
        recent=tuple(raw["recent"]),
        trials=raw["trials"],
        highest=dict(raw["highest"]),
        climbs=Climbs(*raw["climbs"]),
        forgetting=Part(*raw["forgetting"]),
    )
