"""``python -m porchswing`` is the ``porchswing`` command."""

from porchswing.cli.main import main

if __name__ == "__main__":
    main()
