"""One counter that holds kits as fast as it can: started by `tests.bench.reserving`."""

import sys

import django

if __name__ == "__main__":
    django.setup()
    from tests.bench.reserving import hold_for

    first, parts, lines, seconds, seed = (int(argument) for argument in sys.argv[1:])
    print(hold_for(first, parts, lines, seconds, seed))
