"""Read by the fork server of `tests.warm` when it begins, and by nobody else: the libraries, once."""

from tests.warm import preload

preload()
