"""
One process of a crowd that orders over HTTP: `python -m tests.load.door URL GO_FILE NAME PEOPLE ATTEMPTS [HEADERS]`.

Each of PEOPLE opens the form, waits for the file GO_FILE and orders ATTEMPTS times; HEADERS is JSON, what a proxy in
front would add. Prints one JSON line per attempt: what came of it, the order's code, and from when to when on the
machine's monotonic clock.
"""

import http.client
import json
import sys
import threading
import time
import uuid
from pathlib import Path

from tests.buyers import Buyer, NotAcknowledged

NONE_LEFT = ("is free now, and nothing was recorded.", "are spoken for or held at the moment.")


def attempt(buyer: Buyer, *, email: str) -> dict[str, object]:
    """One order for one copy."""
    started, code = time.monotonic(), ""
    try:
        code = buyer.order(email=email, key=uuid.uuid4())
        result = "sold"
    except NotAcknowledged as answer:
        is_none_left = answer.status == 200 and any(words in answer.words for words in NONE_LEFT)
        result = "sold out" if is_none_left else str(answer)
    except (OSError, http.client.HTTPException) as error:
        result = f"{type(error).__name__}: {error}"
    return {"result": result, "code": code, "started": started, "ended": time.monotonic()}


def main(url: str, go: str, name: str, people: str, attempts: str, headers: str = "{}") -> None:
    """Get ready, wait, order, report."""
    buyers = [Buyer(url, headers=json.loads(headers)) for _ in range(int(people))]
    for buyer in buyers:
        buyer.open_form()
    results: list[dict[str, object]] = []

    def come(number: int) -> None:
        for n in range(int(attempts)):
            results.append(attempt(buyers[number], email=f"{name}-{number}-{n}@example.org"))

    time.sleep(2.2)  # nobody has read the form in less; part of no attempt
    Path(f"{go}.{name}").touch()
    while not Path(go).exists():
        time.sleep(0.005)
    threads = [threading.Thread(target=come, args=(number,)) for number in range(len(buyers))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    for result in results:
        sys.stdout.write(json.dumps(result) + "\n")


if __name__ == "__main__":
    main(*sys.argv[1:])
