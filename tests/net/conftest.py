"""What holds where tests send: a busy machine is no news."""

import pytest


@pytest.fixture(autouse=True)
def standing_still_is_not_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let a sender keep to itself that this machine stood still for a second or two, unless a test makes it sleep."""
    monkeypatch.setattr("hollowglow.net.sending.schedule.ASLEEP_S", 300.0)
