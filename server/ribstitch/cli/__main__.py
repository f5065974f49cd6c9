"""``python -m ribstitch.cli``."""

from ribstitch.cli.main import main

main()
