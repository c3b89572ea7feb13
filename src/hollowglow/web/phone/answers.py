"""Answers that a phone gives, each taken once however often it is sent."""

from __future__ import annotations

import asyncio
import json
import re
from collections.abc import Awaitable, Callable, Mapping
from typing import Any

from hollowglow.messages.errors import HollowglowError

# What is remembered in this run; a phone keeps far fewer waiting.
MOST_KEPT = 10_000
_ID = re.compile(r"[A-Za-z0-9-]{16,64}")

Take = Callable[[str, Mapping[str, Any]], Awaitable[Mapping[str, Any]]]


class AnswerError(HollowglowError):
    """An answer that is wrong and stays wrong; the phone shows the words and does not send it again."""


class Answers:
    """What phones have answered: the first of each id is taken, the others hear what the first one heard.

    Args:
        take: is given the id and the rest of an answer, and returns plain data for the phone. It is called once for
            each id while this runs. After a restart an id can come again whose acknowledgement got lost, so it has to
            keep the id with what it writes. It raises AnswerError for what must not be sent again; after any other
            error the phone tries again.
    """

    def __init__(self, take: Take) -> None:
        self._take = take
        self._taken: dict[str, tuple[str, asyncio.Task[Mapping[str, Any]]]] = {}

    async def post(self, answer: Any) -> Mapping[str, Any]:
        """Return what the phone hears.

        Args:
            answer: plain data as it came: a table with an `id` of 16 to 64 letters, digits and hyphens.

        Raises:
            AnswerError: when it is none, its id was used for something else, or it was refused.
        """
        if not isinstance(answer, Mapping):
            raise AnswerError("An answer is a table of keys, with an id.")
        name = answer.get("id")
        if not (isinstance(name, str) and _ID.fullmatch(name)):
            raise AnswerError("An answer has an id of 16 to 64 letters, digits and hyphens, made on the phone.")
        rest = {str(key): value for key, value in answer.items() if key != "id"}
        says = json.dumps(rest, sort_keys=True)
        if name in self._taken and self._taken[name][0] != says:
            raise AnswerError("Another answer has this id already. Load the page again and answer once more.")
        if name not in self._taken:
            self._taken[name] = says, asyncio.ensure_future(self._take(name, rest))
            while len(self._taken) > MOST_KEPT:
                del self._taken[next(iter(self._taken))]
        taking = self._taken[name][1]
        try:
            # A phone that hangs up does not stop the writing, and a retry meanwhile waits for the same.
            return await asyncio.shield(taking)
        except BaseException:
            if taking.done() and name in self._taken and self._taken[name][1] is taking and _failed(taking):
                del self._taken[name]
            raise


def _failed(task: asyncio.Task[Mapping[str, Any]]) -> bool:
    return task.cancelled() or task.exception() is not None
