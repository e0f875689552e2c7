"""`python -m narrate` is the command line."""

from narrate.serve.cli.main import run

if __name__ == "__main__":
    run()
