"""Write the season's CSV files beside this script, or into the directory given: the same bytes every time."""

import argparse
from pathlib import Path

from season.season import Season


def main() -> None:
    """Every file of the season lies in the directory."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("directory", nargs="?", type=Path, default=Path(__file__).parent)
    directory = parser.parse_args().directory
    directory.mkdir(parents=True, exist_ok=True)
    Season().play().save(directory)


if __name__ == "__main__":
    main()
