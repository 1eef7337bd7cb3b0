"""Several people at the same moment: each in a thread with a connection of its own."""

import threading

from django.db import connections


def at_the_same_moment(acts):
    """Run every act in a thread of its own, all let go at once; return results and refusals."""
    gate = threading.Barrier(len(acts))
    outcomes = [None] * len(acts)

    def run(position, act):
        gate.wait()
        try:
            outcomes[position] = act()
        except Exception as error:
            outcomes[position] = error
        finally:
            connections.close_all()

    threads = [
        threading.Thread(target=run, args=(position, act)) for position, act in enumerate(acts)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    return outcomes
