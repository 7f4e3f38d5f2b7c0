"""Starts the command line."""

from coachbot.cli import main

if __name__ == "__main__":
    main()
