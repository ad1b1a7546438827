"""``python -m sitegen``, and the command ``sitegen``."""

import os
import sys

if __name__ == "__main__" and not sys.flags.safe_path:
    # -m has put the current folder first: what lies there may be anybody's, and no module is looked for in it
    try:
        is_first = os.path.realpath(sys.path[0]) == os.path.realpath(os.curdir)
    except OSError:  # the current folder is gone
        is_first = False
    if is_first:
        del sys.path[0]


def run() -> None:
    """Run the command, ready to be stopped from the first moment on."""
    from sitegen.stopping import listen, listen_no_more

    listen()
    from sitegen.cli import main

    try:
        main(prog_name="sitegen")
    finally:
        listen_no_more()


if __name__ == "__main__":
    run()
