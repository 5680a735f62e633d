"""`python -m tests.benchmarks COMMAND`: make a history, measure on all, prove the long one, weigh hops, tell months."""

import argparse
import sys

from tests.benchmarks import databases


def main(arguments: list[str]) -> None:
    """Do what was asked on the command line."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    parser.add_argument("--database", default=databases.DEFAULT, help="where histories lie; their names are added")
    commands = parser.add_subparsers(dest="command", required=True)
    make = commands.add_parser("make", help="make one history anew")
    make.add_argument("--links", type=int, default=100_000)
    make.add_argument("--reconvergent", action="store_true", help="more moves between silos, fewer clean-outs")
    run = commands.add_parser("run", help="make the histories that are missing, measure, print the table")
    run.add_argument("--lots", type=int, default=100, help="how many lots are traced")
    commands.add_parser("prove", help="prove the long history at once, made where it is missing")
    keep = commands.add_parser("keep", help="find the weak among many hop lots, made where they are missing")
    keep.add_argument("--lots", type=int, default=100_000)
    use = commands.add_parser("use", help="tell a month out of many postings, made where they are missing")
    use.add_argument("--postings", type=int, default=10_000_000)
    close = commands.add_parser("close", help="tell a month of duty after a closing, made where it is missing")
    close.add_argument("--postings", type=int, default=3_000_000)
    chosen = parser.parse_args(arguments)
    databases.set_up(chosen.database)
    from tests.benchmarks import bonded, keepings, making, report, usage  # the models can be imported only now

    if chosen.command == "make":
        making.make(databases.History(chosen.database, chosen.links, chosen.reconvergent))
    elif chosen.command == "prove":
        report.prove_only(chosen.database)
    elif chosen.command == "keep":
        report.print_table(keepings.run(chosen.database, chosen.lots))
    elif chosen.command == "use":
        report.print_table(usage.run(chosen.database, chosen.postings))
    elif chosen.command == "close":
        report.print_table(bonded.run(chosen.database, chosen.postings))
    else:
        report.run(chosen.database, chosen.lots)


main(sys.argv[1:])
