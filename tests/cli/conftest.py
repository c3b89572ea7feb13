"""What holds where commands send: a busy machine is no news."""

from tests.net.conftest import standing_still_is_not_told as standing_still_is_not_told
