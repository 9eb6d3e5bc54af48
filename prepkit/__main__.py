"""python -m prepkit."""

from prepkit.cli import main

if __name__ == "__main__":
    main()
