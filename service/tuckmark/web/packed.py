"""The document that an address holds."""

from tuckmark import document, packing
from tuckmark.document import Json
from tuckmark.web.problems import ProblemError, of_faults, parameter_item


def read(piece: str) -> Json:
    """The JSON value of a packed piece of a path.

    Raises:
        ProblemError: ``uri_too_long``, ``not_found`` or ``document_unreadable``.
    """
    if len(piece) > packing.MAX_CHARACTERS:
        most = f"{packing.MAX_CHARACTERS:,}"
        detail = f"A spec in an address may have up to {most} characters; this one has"
        raise ProblemError("uri_too_long", f"{detail} {len(piece):,}.")
    try:
        return packing.unpack(piece)
    except packing.BadAddressError as error:
        item = parameter_item("packed", "unknown_address", str(error), given=piece)
        raise ProblemError("not_found", str(error), [item]) from None
    except document.UnreadableError as error:
        raise of_faults("document_unreadable", (error.fault,), 1) from None
