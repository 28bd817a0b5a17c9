"""``python -m propsched``."""

from propsched.cli.main import main

if __name__ == "__main__":
    main()
