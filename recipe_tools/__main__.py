"""``python -m recipe_tools`` does what the ``recipe-tools`` command does."""

from recipe_tools.cli import main

if __name__ == "__main__":
    main()
