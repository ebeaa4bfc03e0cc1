"""``python -m assistant``."""

from assistant.cli.main import main

if __name__ == "__main__":
    main()
