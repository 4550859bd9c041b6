"""``python -m heatloss`` is the heatloss command."""

from heatloss.cli import main

if __name__ == "__main__":
    main()
