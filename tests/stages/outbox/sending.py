"""A device in plain Python: it keeps, sends in order, and forgets only at the server's word."""

import http.client
import json
from dataclasses import dataclass, field

AT_ONCE = 50
GONE = {"accepted", "duplicate", "clash"}


@dataclass
class Sender:
    """`kept` are the entries still to send; `lost` answers are those that never came."""

    port: int
    kept: list[dict]
    at_once: int = AT_ONCE
    lost: int = 0
    verdicts: dict[str, str] = field(default_factory=dict)

    def send(self) -> bool:
        """One try; False where no answer came, and then nothing is forgotten."""
        batch = self.kept[: self.at_once]
        try:
            told = self._post(batch)
        except (OSError, http.client.HTTPException, ValueError):
            self.lost += 1
            return False
        self.verdicts.update(told)
        self.kept = [one for one in self.kept if told.get(one["ref"]) not in GONE]
        return True

    def _post(self, batch: list[dict]) -> dict[str, str]:
        connection = http.client.HTTPConnection("localhost", self.port, timeout=20)
        try:
            connection.request("GET", "/scan/hello/")
            answer = connection.getresponse()
            cookie = answer.getheader("Set-Cookie", "").partition(";")[0]
            token = json.loads(answer.read())["csrf"]
            connection.request(
                "POST",
                "/scan/batch/",
                json.dumps({"entries": batch}),
                {"Content-Type": "application/json", "X-CSRFToken": token, "Cookie": cookie},
            )
            answer = connection.getresponse()
            body = answer.read()
            if answer.status != 200:
                raise ValueError(f"{answer.status}: {body[:200]!r}")
            return {one["ref"]: one["verdict"] for one in json.loads(body)["verdicts"]}
        finally:
            connection.close()
