"""
Our own card processor over a real socket, for tests: hosted pages, charges with fees, refunds, disputes, payouts.

Written from the processor's published interface; its keys and secrets are invented. As the real one it keeps the first
answer under an idempotency key, errors of the 500 class too, and refuses the key with other words. It can be told to
fail: `fail` by probability, `fail_next` by count.
"""

import hashlib
import hmac
import html
import itertools
import json
import random
import re
import socket
import struct
import threading
import time
import urllib.parse
import urllib.request
from collections import deque
from collections.abc import Callable
from contextlib import suppress
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

KEY, SECRET = "sk_test_invented_for_our_tests", "whsec_invented_for_our_tests"
# kind: (is it done all the same, is its answer kept under the key)
KINDS = {"500": (False, True), "500_after": (True, True), "timeout": (True, True), "reset": (False, False),
         "429": (False, False), "409": (False, False)}  # fmt: skip
DAY_S = 86_400
Params = dict[str, str]


class Refused(Exception):
    """An answer of the 400 class."""

    def __init__(self, status: int, code: str, message: str, kind: str = "invalid_request_error") -> None:
        super().__init__(message)
        self.status = status
        self.body = {"error": {"type": kind, "code": code, "message": message}}


class StandIn:
    """One processor's account; all amounts in minor units. `clock` gives seconds since 1970."""

    def __init__(self, *, clock: Callable[[], float] = time.time, seed: int = 0, hang_s: float = 1.0) -> None:
        self.clock, self.hang_s, self.chance = clock, hang_s, random.Random(seed)
        self.sessions: dict[str, dict[str, Any]] = {}
        self.charges: dict[str, dict[str, Any]] = {}
        self.refunds: dict[str, dict[str, Any]] = {}
        self.disputes: dict[str, dict[str, Any]] = {}
        self.payouts: dict[str, dict[str, Any]] = {}
        self.moves: dict[str, dict[str, Any]] = {}  # balance transactions
        self.events: list[dict[str, Any]] = []
        self.kept: dict[str, tuple[str, int, dict[str, Any]]] = {}
        self.fail: dict[str, float] = {}
        self.failed: list[str] = []
        self.refund_state, self.fee_is_late, self.webhook_url = "succeeded", False, ""
        self._next: deque[str] = deque()
        self._number = itertools.count(1)
        self._lock = threading.RLock()
        self._server = ThreadingHTTPServer(("127.0.0.1", 0), type("Bound", (Handler,), {"processor": self}))
        self._server.daemon_threads = True
        self._server.handle_error = lambda *_: None  # type: ignore[method-assign]  # a client that went away
        self.url = f"http://127.0.0.1:{self._server.server_port}"
        threading.Thread(target=self._server.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True).start()

    def close(self) -> None:
        """Stop answering."""
        self._server.shutdown()
        self._server.server_close()

    def fail_next(self, *kinds: str) -> None:
        """Let the next calls fail, one kind each."""
        self._next.extend(kinds)

    # --- what a backer, a bank and time do ---------------------------------------------------------------------
    def pay(self, session_id: str, *, amount: int | None = None, currency: str = "") -> str:
        """As a backer on the hosted page; another sum or currency as no honest page could. Returns the payment."""
        with self._lock:
            session = self._there(self.sessions, session_id)
            if session["status"] != "open" or session["expires_at"] <= self.clock():
                raise Refused(400, "session_over", "This page is closed.")
            if amount is not None:
                session["amount_total"] = amount
            session["currency"] = currency or session["currency"]
            payment_id, charge_id = self._id("pi"), self._id("ch")
            sum_ = session["amount_total"]
            charge = {"id": charge_id, "object": "charge", "amount": sum_, "currency": session["currency"],
                      "created": int(self.clock()), "payment_intent": payment_id, "balance_transaction": None,
                      "livemode": session["livemode"], "metadata": session["metadata"]}  # fmt: skip
            self.charges[charge_id] = charge
            move = self._move("charge", charge_id, amount=sum_, fee=25 + (sum_ * 15 + 500) // 1000, charge=charge)
            charge["balance_transaction"] = None if self.fee_is_late else move["id"]
            session |= {"status": "complete", "payment_status": "paid", "payment_intent": payment_id, "url": None}
            self.tell("checkout.session.completed", session)
            return payment_id

    def know_fee(self, payment_id: str) -> None:
        """The processor has worked out a fee it did not know at first."""
        charge = self.charge_of(payment_id)
        charge["balance_transaction"] = next(m["id"] for m in self.moves.values() if m["source"] == charge["id"])
        self.tell("charge.updated", charge)

    def expire(self, session_id: str) -> dict[str, Any]:
        """A hosted page ends unpaid."""
        session = self._there(self.sessions, session_id)
        if session["status"] != "open":
            raise Refused(400, "resource_already_ended", "Only open pages can be expired.")
        session |= {"status": "expired", "url": None}
        self.tell("checkout.session.expired", session)
        return session

    def dispute(self, payment_id: str, *, fee: int = 1_500) -> str:
        """The payer's bank takes the money back, and the processor a fee."""
        charge = self.charge_of(payment_id)
        dispute_id = self._id("du")
        move = self._move("adjustment", dispute_id, amount=-charge["amount"], fee=fee, charge=charge)
        self.disputes[dispute_id] = {
            "id": dispute_id, "object": "dispute", "amount": charge["amount"], "currency": charge["currency"],
            "payment_intent": payment_id, "charge": charge["id"], "status": "needs_response", "reason": "fraudulent",
            "created": int(self.clock()), "evidence_details": {"due_by": int(self.clock()) + 7 * DAY_S},
            "balance_transactions": [move],
        }  # fmt: skip
        self.tell("charge.dispute.funds_withdrawn", self.disputes[dispute_id])
        return dispute_id

    def win(self, dispute_id: str) -> None:
        """The money comes again; the fee does not."""
        dispute = self.disputes[dispute_id]
        charge = self.charges[dispute["charge"]]
        dispute["balance_transactions"].append(
            self._move("adjustment", dispute_id, amount=charge["amount"], fee=0, charge=charge)
        )
        dispute["status"] = "won"
        self.tell("charge.dispute.funds_reinstated", dispute)

    def return_refund(self, refund_id: str) -> None:
        """A card did not take a refund after all."""
        refund = self.refunds[refund_id]
        charge = self.charge_of(refund["payment_intent"])
        self._move("refund_failure", refund_id, amount=refund["amount"], fee=0, charge=charge)
        refund |= {"status": "failed", "failure_reason": "expired_or_canceled_card"}
        self.tell("refund.failed", refund)

    def pay_out(self, *, status: str = "paid") -> str:
        """Everything that was not paid out yet goes to the bank account."""
        with self._lock:
            waiting = [move for move in self.moves.values() if not move["payout"]]
            payout_id = self._id("po")
            amount = sum(move["net"] for move in waiting)
            for move in waiting:
                move["payout"] = payout_id
            self.payouts[payout_id] = {
                "id": payout_id, "object": "payout", "amount": amount, "currency": "eur", "status": status,
                "created": int(self.clock()), "arrival_date": int(self.clock()) + 2 * DAY_S,
            }  # fmt: skip
            self.tell(f"payout.{'paid' if status == 'paid' else 'created'}", self.payouts[payout_id])
            return payout_id

    def move_payout(self, payout_id: str, *, status: str) -> None:
        """A payout arrives, or comes back."""
        self.payouts[payout_id]["status"] = status
        self.tell(f"payout.{status}", self.payouts[payout_id])

    def charge_of(self, payment_id: str) -> dict[str, Any]:
        """The charge of a payment."""
        return next(charge for charge in self.charges.values() if charge["payment_intent"] == payment_id)

    def balance(self) -> int:
        """What lies with the processor, fees taken off, all currencies as they come."""
        return sum(move["net"] for move in self.moves.values() if not move["payout"])

    # --- messages --------------------------------------------------------------------------------------------
    def tell(self, kind: str, thing: dict[str, Any]) -> dict[str, Any]:
        """An event about `thing`; sent at once if there is an address to send it to."""
        event = {"id": self._id("evt"), "object": "event", "type": kind, "created": int(self.clock()),
                 "livemode": False, "data": {"object": json.loads(json.dumps(thing))}}  # fmt: skip
        self.events.append(event)
        if self.webhook_url:
            threading.Thread(target=self.send, args=(event,), daemon=True).start()
        return event

    @staticmethod
    def message(event: dict[str, Any], *, secret: str = SECRET, age_s: float = 0) -> tuple[bytes, str]:
        """The body and the signature of an event, signed `age_s` ago."""
        body, at = json.dumps(event), int(time.time() - age_s)
        mac = hmac.new(secret.encode(), f"{at}.{body}".encode(), hashlib.sha256).hexdigest()
        return body.encode(), f"t={at},v1={mac}"

    def send(self, event: dict[str, Any]) -> int:
        """Post an event to the address; the status of the answer."""
        body, signature = self.message(event)
        headers = {"Stripe-Signature": signature, "Content-Type": "application/json"}
        request = urllib.request.Request(self.webhook_url, data=body, headers=headers)
        with urllib.request.urlopen(request, timeout=30) as answer:
            return int(answer.status)

    # --- the interface ---------------------------------------------------------------------------------------
    def choose_failure(self) -> str:
        """What is to go wrong with this call; empty for nothing."""
        with self._lock:
            kind = self._next.popleft() if self._next else self._roll()
            if kind:
                self.failed.append(kind)
            return kind

    def _roll(self) -> str:
        dice = self.chance.random()
        for kind, share in self.fail.items():
            if (dice := dice - share) < 0:
                return kind
        return ""

    def answer(self, method: str, path: str, params: Params, *, key: str, failure: str) -> tuple[int, dict[str, Any]]:
        """One call as the real one would answer it; its results are kept under an idempotency key."""
        with self._lock:
            words = json.dumps([path, sorted(params.items())])
            if key and key in self.kept:
                kept_words, status, body = self.kept[key]
                if kept_words != words:
                    raise Refused(400, "", "This key was used with other parameters.", "idempotency_error")
                return status, body
            is_done, is_kept = KINDS.get(failure, (True, True))
            status, body = (200, self._do(method, path, params)) if is_done else (500, {})
            if failure in ("500", "500_after"):
                status, body = 500, {"error": {"type": "api_error", "message": "Something went wrong."}}
            if key and is_kept:
                self.kept[key] = (words, status, json.loads(json.dumps(body)))
            return status, body

    def _do(self, method: str, path: str, params: Params) -> dict[str, Any]:
        parts = path.removeprefix("/v1/").replace("checkout/sessions", "sessions").split("/")
        rows: dict[str, dict[str, Any]] = getattr(self, {"balance_transactions": "moves"}.get(parts[0], parts[0]))
        expand = [value for name, value in params.items() if name.startswith("expand")]
        if method == "POST":
            return self._create(parts, params)
        if len(parts) == 2:
            return self._shown(self._there(rows, parts[1]), expand=expand)
        return self._list(rows, params, expand=[field.removeprefix("data.") for field in expand]) | {"url": path}

    def _create(self, parts: list[str], params: Params) -> dict[str, Any]:
        if parts[0] == "sessions":
            return self.expire(parts[1]) if parts[2:] == ["expire"] else self._open(params)
        return self._refund(params)

    def _open(self, params: Params) -> dict[str, Any]:
        now, until = self.clock(), int(params["expires_at"])
        if not 1_800 - 5 <= until - now <= DAY_S + 5:
            raise Refused(400, "", "expires_at must be between 30 minutes and 24 hours from now.")
        amount = int(params["line_items[0][price_data][unit_amount]"])
        if amount < 50:
            raise Refused(400, "amount_too_small", "That is less than the processor takes.")
        session_id = self._id("cs_test")
        self.sessions[session_id] = {
            "id": session_id, "object": "checkout.session", "status": "open", "payment_status": "unpaid",
            "url": f"{self.url}/pay/{session_id}", "amount_total": amount, "livemode": False, "payment_intent": None,
            "currency": params["line_items[0][price_data][currency]"], "created": int(now), "expires_at": until,
            "client_reference_id": params["client_reference_id"],
            "metadata": {k[9:-1]: v for k, v in params.items() if k.startswith("metadata[")},
            "success_url": params["success_url"], "cancel_url": params["cancel_url"],
        }  # fmt: skip
        return self._shown(self.sessions[session_id], expand=[])

    def _refund(self, params: Params) -> dict[str, Any]:
        charge, amount = self.charge_of(params["payment_intent"]), int(params["amount"])
        done = sum(r["amount"] for r in self.refunds.values()
                   if r["payment_intent"] == charge["payment_intent"] and r["status"] != "failed")  # fmt: skip
        if amount > charge["amount"] - done:
            raise Refused(400, "charge_already_refunded", "That is more than is left of the charge.")
        refund_id = self._id("re")
        refund = self.refunds[refund_id] = {
            "id": refund_id, "object": "refund", "amount": amount, "currency": charge["currency"],
            "payment_intent": charge["payment_intent"], "status": self.refund_state, "created": int(self.clock()),
            "metadata": {k[9:-1]: v for k, v in params.items() if k.startswith("metadata[")},
        }  # fmt: skip
        if self.refund_state != "failed":
            self._move("refund", refund_id, amount=-amount, fee=0, charge=charge)
        self.tell("refund.created", refund)
        return refund

    def _list(self, rows: dict[str, dict[str, Any]], params: Params, *, expand: list[str]) -> dict[str, Any]:
        found = [row for row in reversed(rows.values()) if row["created"] >= int(params.get("created[gte]", 0))]
        for field in ("payment_intent", "payout"):
            found = [row for row in found if field not in params or row.get(field) == params[field]]
        ids = [row["id"] for row in found]
        start = ids.index(params["starting_after"]) + 1 if "starting_after" in params else 0
        page = found[start : start + int(params.get("limit", 10))]
        more = start + len(page) < len(found)
        data = [self._shown(row, expand=expand) for row in page]
        return {"object": "list", "data": data, "has_more": more}

    def _shown(self, row: dict[str, Any], *, expand: list[str]) -> dict[str, Any]:
        shown = json.loads(json.dumps(row))
        if any("latest_charge" in field for field in expand) and row.get("payment_intent"):
            charge = dict(self.charge_of(row["payment_intent"]))
            charge["balance_transaction"] = self.moves.get(charge["balance_transaction"] or "")
            shown["payment_intent"] = {"id": row["payment_intent"], "object": "payment_intent", "latest_charge": charge}
        if "source" in expand:
            rows = self.charges | self.refunds | self.disputes
            shown["source"] = rows.get(row["source"], row["source"])
        return shown

    def _move(self, kind: str, source: str, *, amount: int, fee: int, charge: dict[str, Any]) -> dict[str, Any]:
        move_id = self._id("txn")
        self.moves[move_id] = {
            "id": move_id, "object": "balance_transaction", "type": kind, "source": source, "amount": amount,
            "fee": fee, "net": amount - fee, "currency": charge["currency"], "created": int(self.clock()),
            "available_on": int(self.clock()) + 2 * DAY_S, "payout": "",
        }  # fmt: skip
        return self.moves[move_id]

    def _there(self, rows: dict[str, dict[str, Any]], row_id: str) -> dict[str, Any]:
        if row_id not in rows:
            raise Refused(404, "resource_missing", f"No such thing: {row_id}")
        return rows[row_id]

    def _id(self, kind: str) -> str:
        return f"{kind}_{next(self._number):06}{self.chance.getrandbits(32):08x}"


class Handler(BaseHTTPRequestHandler):
    """Speaks HTTP for a `StandIn`."""

    processor: StandIn
    protocol_version = "HTTP/1.1"

    def log_message(self, *_: Any) -> None:
        """Says nothing."""

    def do_GET(self) -> None:
        """Interface and hosted page."""
        path, _, query = self.path.partition("?")
        self._api("GET", path, query) if path.startswith("/v1/") else self._page(path)

    def do_POST(self) -> None:
        """Interface, and the button of the hosted page."""
        body = self.rfile.read(int(self.headers.get("Content-Length") or 0)).decode()
        if self.path.startswith("/v1/"):
            self._api("POST", self.path, body)
            return
        session_id = self.path.rpartition("/")[2]
        with suppress(Refused):
            self.processor.pay(session_id)
        self.send_response(303)
        self.send_header("Location", self.processor.sessions[session_id]["success_url"])
        self.send_header("Content-Length", "0")
        self.end_headers()

    def _api(self, method: str, path: str, text: str) -> None:
        processor, params = self.processor, dict(urllib.parse.parse_qsl(text))
        failure = processor.choose_failure()
        if failure == "reset":
            self.connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
            self.close_connection = True
            self.connection.close()
            return
        if self.headers.get("Authorization") != f"Bearer {KEY}":
            self._json(401, {"error": {"type": "invalid_request_error", "message": "Invalid key."}})
            return
        if failure in ("429", "409"):  # too many calls; or the same key is being worked on
            self._json(int(failure), {"error": {"type": "invalid_request_error", "message": "Not now."}})
            return
        key = self.headers.get("Idempotency-Key", "") if method == "POST" else ""
        try:
            status, body = processor.answer(method, path, params, key=key, failure=failure)
        except Refused as refused:
            status, body = refused.status, refused.body
        if failure == "timeout":
            time.sleep(processor.hang_s)
            self.close_connection = True
            return
        self._json(status, body)

    def _json(self, status: int, body: dict[str, Any]) -> None:
        self._send(status, json.dumps(body).encode(), "application/json")

    def _send(self, status: int, body: bytes, kind: str) -> None:
        self.send_response(status)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def _page(self, path: str) -> None:
        found = re.fullmatch(r"/pay/(\w+)", path)
        session = self.processor.sessions.get(found[1]) if found else None
        if session is None or session["status"] != "open":
            self._send(404, b"<h1>This page is closed.</h1>", "text/html; charset=utf-8")
            return
        words = f"{session['amount_total']} {session['currency']} for {session['client_reference_id']}"
        page = (
            f"<!doctype html><html lang=en><title>Pay</title><main><h1>{html.escape(words)}</h1>"
            f"<form method=post><button>Pay now</button></form>"
            f"<p><a href='{html.escape(session['cancel_url'])}'>Back without paying</a></p></main>"
        )
        self._send(200, page.encode(), "text/html; charset=utf-8")
