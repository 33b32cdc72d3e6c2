"""Write version_1.sql: a store as version 1 made it, with a log of fourteen trials and a slip.

Run once, from the schema of migration 1 alone; afterwards the file stays as it is, whatever the code becomes.
"""

import sqlite3
import sys
from pathlib import Path

HERE = Path(__file__).parent
SCHEMA = HERE.parents[3] / "trainer" / "memory" / "migrations" / "0001_log.sql"


def main() -> None:
    """Write the file; fails when it is there already."""
    target = HERE / "version_1.sql"
    if target.exists():
        sys.exit(f"{target} is there already and stays as it is")
    connection = sqlite3.connect(":memory:", isolation_level=None)
    connection.executescript(SCHEMA.read_text(encoding="utf-8"))
    for number in range(14):
        connection.execute(
            "INSERT INTO trials VALUES (NULL, ?, 60, 'evening', ?, ?, ?, ?, ?, 'table', 'shells', "
            "92.0, '{}', ?, ?, ?, '[]', ?, ?, 9.5, 8.0, ?, 1)",
            (
                f"2027-03-{1 + number // 3:02}T18:{number:02}:00+00:00",
                ("major-two-five-one", "backdoor")[number % 2],
                ("name-functions", "name-cadence")[number % 3 == 0],
                1 + number % 3,
                ("Bb major", "D minor", "F# major")[number % 3],
                100 + number,
                "2 5 1",
                "ii7 V7 Imaj7",
                (1.0, 0.0, 2 / 3)[number % 3],
                (1 / 3, 0.25, 0.02)[number % 3],
                ("[]", '["again"]')[number % 4 == 1],
                "plagal" if number % 5 == 1 else None,
            ),
        )
    connection.execute("INSERT INTO corrections VALUES (NULL, 5, '2027-03-02T18:05:00+00:00', 'slip')")
    lines = [
        "PRAGMA journal_mode = WAL;",
        *(line for line in connection.iterdump() if "sqlite_sequence" not in line),
        f"PRAGMA application_id = {0x6B657966};",
        "PRAGMA user_version = 1;",
    ]
    target.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
