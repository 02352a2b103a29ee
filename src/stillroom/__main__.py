"""``python -m stillroom`` is the tool itself."""

from stillroom.cli import main

if __name__ == "__main__":
    main()
