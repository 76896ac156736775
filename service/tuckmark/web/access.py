"""Whether a request may be answered: the bearer key of an operation that needs one."""

from tuckmark.web import keys
from tuckmark.web.limits import RETRY_AFTER_S
from tuckmark.web.problems import ProblemError
from tuckmark.web.running import Running
from tuckmark.web.table import Operation

_CHALLENGE = 'Bearer realm="tuckmark"'


def needs_key(running: Running, operation: Operation) -> bool:
    """Whether an operation is answered to holders of a key only."""
    return running.keys is not None and running.open_groups.isdisjoint(operation.open)


def admit(running: Running, operation: Operation, authorization: str | None) -> str | None:
    """Let a request in, or refuse it.

    Returns:
        the name that its key stands for; None where no key was needed.

    Raises:
        ProblemError: ``key_needed`` or ``keys_unreadable``.
    """
    if running.keys is None or not needs_key(running, operation):
        return None
    token = keys.token_of(authorization)
    if token is None:
        raise ProblemError("key_needed", headers={"WWW-Authenticate": _CHALLENGE})
    try:
        holder = running.keys.holder(token)
    except keys.KeysUnreadableError:
        raise ProblemError("keys_unreadable", headers={"Retry-After": RETRY_AFTER_S}) from None
    if holder is None:
        challenge = f'{_CHALLENGE}, error="invalid_token"'
        detail = "The key that was sent is not, or no longer, one of this service."
        raise ProblemError("key_needed", detail, headers={"WWW-Authenticate": challenge})
    return holder
