"""`python -m unspool`: the command, where no script of that name is on the path."""

from unspool.starting import main

if __name__ == "__main__":
    main()
