"""``python -m assistant``."""

from assistant.cli.main import start

if __name__ == "__main__":
    start()
