"""Whatever comes in whatever order, what is shown is what a plain reading of the rules over the whole log gives."""

from dataclasses import dataclass
from typing import Any

from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from hollowglow.net.hearing.sources import HeardSources
from tests.net.senders import data, sync

UNIVERSES = (1, 5)
MOST = 3
SECONDS = st.integers(0, 12).map(lambda n: n / 4)  # quarters are exact, so that 2.5 s is met exactly


@dataclass
class Known:
    """What is known of one sender in one universe."""

    last: int
    when: float
    priority: int
    address: int
    ever_synchronized: bool
    values: bytes | None
    waiting: bytes | None


class Naive:
    """The rules word for word, with nothing remembered in a clever way; everyone is looked at every time."""

    def __init__(self) -> None:
        self.now = 0.0
        self.known: dict[tuple[int, int], Known] = {}
        self.sync_at: dict[int, float] = {}
        self.sync_last: dict[tuple[int, int], int] = {}

    def pass_time(self, now: float) -> None:
        self.now = now
        self.known = {k: s for k, s in self.known.items() if now - s.when < 2.5}

    def old(self, last: int, new: int) -> bool:
        return new in [(last - k) % 256 for k in range(20)]

    def synchronized_now(self, address: int) -> bool:
        return address in self.sync_at and self.now - self.sync_at[address] < 2.5

    def data(self, who: int, universe: int, sequence: int, values: bytes, how: dict[str, Any]) -> None:
        key = (universe, who)
        if key in self.known:
            if self.old(self.known[key].last, sequence):
                return
            self.known[key].last = sequence
        if how["terminated"]:
            self.known.pop(key, None)
            return
        if how["preview"]:
            return
        if how["start_code"]:
            if key in self.known:
                self.known[key].when = self.now
            return
        if key not in self.known:
            here = [k for k in self.known if k[0] == universe]
            if len(here) == MOST:
                weakest = min(here, key=lambda k: (self.known[k].priority, self.known[k].when))
                if self.known[weakest].priority >= how["priority"]:
                    return
                del self.known[weakest]
                self.forget()
            self.known[key] = Known(sequence, self.now, how["priority"], how["sync"], False, None, None)
        one = self.known[key]
        one.when, one.priority = self.now, how["priority"]
        if one.address != how["sync"]:
            one.address, one.waiting, one.ever_synchronized = how["sync"], None, False
        if self.synchronized_now(one.address):
            one.ever_synchronized = True
        goes_on = how["force"] and not self.synchronized_now(one.address)
        if one.address != 0 and one.ever_synchronized and not goes_on:
            one.waiting = values
        else:
            one.values, one.waiting = values, None

    def sync(self, who: int, address: int, sequence: int) -> None:
        if all(one.address != address for one in self.known.values()):
            return
        if not self.synchronized_now(address):
            self.sync_last = {k: v for k, v in self.sync_last.items() if k[1] != address}
        if (who, address) in self.sync_last and self.old(self.sync_last[who, address], sequence):
            return
        self.sync_last[who, address] = sequence
        self.sync_at[address] = self.now
        for one in self.known.values():
            if one.address == address:
                one.ever_synchronized = True
                if one.waiting is not None:
                    one.values, one.waiting = one.waiting, None

    def forget(self) -> None:
        """An address that nobody names any more begins anew."""
        named = {one.address for one in self.known.values()}
        self.sync_at = {a: t for a, t in self.sync_at.items() if a in named}
        self.sync_last = {(w, a): n for (w, a), n in self.sync_last.items() if a in named}

    def shown(self, universe: int) -> list[int]:
        ready = [s for (u, _), s in self.known.items() if u == universe and s.values is not None]
        top = max((s.priority for s in ready), default=0)
        winners = [s.values for s in ready if s.priority == top and s.values is not None]
        return [max((v[slot] for v in winners if slot < len(v)), default=0) for slot in range(4)]


class Merging(RuleBasedStateMachine):
    """Packets of a few senders, in and out of order, while time passes."""

    def __init__(self) -> None:
        super().__init__()
        self.sources = HeardSources(UNIVERSES, most=MOST)
        self.naive = Naive()
        self.now = 0.0
        self.next: dict[tuple[int, int], int] = {}

    @rule(
        who=st.integers(1, 5),
        universe=st.sampled_from(UNIVERSES),
        step=st.sampled_from([1, 1, 1, 1, 1, 2, 0, -1, -19, -20, 128]),
        values=st.binary(max_size=4),
        after=st.sampled_from([0.0, 0.0, 0.25, 1.0]),
        how=st.fixed_dictionaries(
            {
                "priority": st.sampled_from([0, 100, 100, 100, 200]),
                "sync": st.sampled_from([0, 0, 8, 9]),
                "force": st.booleans(),
                "terminated": st.sampled_from([False] * 9 + [True]),
                "preview": st.sampled_from([False] * 9 + [True]),
                "start_code": st.sampled_from([0] * 9 + [0xDD]),
            }
        ),
    )
    def data(self, who: int, universe: int, step: int, values: bytes, after: float, how: dict[str, Any]) -> None:
        self.pass_time(after)
        sequence = (self.next.get((universe, who), 250) + step) % 256
        self.next[universe, who] = sequence
        self.sources.hear(data(who, sequence, values, universe=universe, **how), "127.0.0.1", self.now)
        self.naive.data(who, universe, sequence, values, how)
        self.naive.forget()

    @rule(who=st.integers(1, 2), address=st.sampled_from([8, 9]), step=st.sampled_from([1, 1, 1, 0, -1, -20]))
    def sync(self, who: int, address: int, step: int) -> None:
        sequence = (self.next.get((-address, who), 250) + step) % 256
        self.next[-address, who] = sequence
        self.sources.hear(sync(address, sequence, who), "127.0.0.1", self.now)
        self.naive.sync(who, address, sequence)

    @rule(noise=st.binary(max_size=200))
    def noise(self, noise: bytes) -> None:
        self.sources.hear(noise, "127.0.0.1", self.now)

    @rule(seconds=SECONDS)
    def pass_time(self, seconds: float) -> None:
        self.now += seconds
        self.sources.tick(self.now)
        self.naive.pass_time(self.now)
        self.naive.forget()

    @invariant()
    def the_same_is_shown(self) -> None:
        shown = self.sources.frame(self.now)
        for row, universe in enumerate(UNIVERSES):
            assert shown[row, :4].tolist() == self.naive.shown(universe)
            assert not shown[row, 4:].any()

    @invariant()
    def the_same_are_heard(self) -> None:
        heard = {(h.universe, int.from_bytes(h.cid, "big")) for h in self.sources.heard(self.now)}
        assert heard == set(self.naive.known)


TestMerging = Merging.TestCase
